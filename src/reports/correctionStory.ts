import type { AdvisedGroup, AdvisedSetting, Correction, CorrectionTerm } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { amountText } from '../review/correctionSentences';
import { countText, decimalText, forceText, listText, percentText, settingText, speedText } from '../review/wording';
import { withSign } from '../text/figures';

/** Sentences and tables that every report of a correction tells alike; they may hold text from files. */

const TOLD_IN_CHECK = 2;

/** In `check`: what it comes to and the clicks, in a line; undefined where nothing is said. */
export function causeSentence({ correction }: JudgedResult): string | undefined {
  if (correction === undefined || correction.conclusions.length === 0) return undefined;
  const told = correction.conclusions.slice(0, TOLD_IN_CHECK).map(({ text }) => text);
  const more = correction.conclusions.length - told.length;
  const parts = [...told, ...(more > 0 ? [`${countText(more, 'further remark')}.`] : []), ...movesSentence(correction)];
  return [...parts, 'All of it: damper-review correct.'].join(' ');
}

/** `On a car: LSC 6 to 3.` for answers of which there is one. */
function movesSentence(correction: Correction): readonly string[] {
  const advice = correction.state === 'nothing' ? undefined : correction.advice;
  if (advice === undefined) return [];
  const moves = advice.groups
    .filter(({ exact, worn, answers }) => exact && !worn && (answers[0]?.moved ?? 0) > 0)
    .map((group) => moveText(group, group.answers[0]!));
  return moves.length === 0 ? [] : [`On a car: ${listText(moves)}.`];
}

/** What to do about a drift that is explained, before anything a rule says of drift in general. */
export function causeSteps({ correction }: JudgedResult): readonly string[] {
  const first = correction?.state === 'explained' ? correction.conclusions[0] : undefined;
  return first === undefined ? [] : [`${first.text} ${first.next}`.trim()];
}

export const TERM_HEADS: readonly string[] = ['Cause', 'Size', 'U (95 %)', 'Share of the drift'];

/** Cells of a term, by TERM_HEADS. */
export function termCells({ cause, kind, value, unit, U, share, minor, pressure }: CorrectionTerm): readonly string[] {
  const size = kind === 'scale' ? `${withSign(decimalText(value * 100, 1))} %` : withSign(valueText(value, unit));
  const bars = pressure === undefined ? '' : ` (${withSign(decimalText(pressure.value / 1e5, 2))} bar)`;
  const doubt = kind === 'scale' ? `${decimalText(U * 100, 1)} %` : valueText(U, unit);
  return [minor ? `${cause} (small)` : cause, `${size}${bars}`, doubt, percentText(share)];
}

function valueText(value: number, unit: string): string {
  if (unit === 'N') return forceText(value);
  if (unit === 'K') return `${decimalText(value, 0)} K`;
  return `${decimalText(value, 2)} ${unit === 'click' || unit === 'turn' ? `${unit}s` : unit}`;
}

/** How the signs of sizes are meant. */
export const TERM_NOTE =
  'Positive: more force, harder, further out from closed than set, warmer. Shares are of the squares of the drift.';

/** How much is explained, and what cannot be told apart. */
export function fitSentences(correction: Correction): readonly string[] {
  if (correction.state === 'not possible' || correction.state === 'nothing') return [];
  const causes = countText(correction.terms.length, 'cause');
  const nearest = correction.state === 'none of these' ? 'What comes nearest, and is no ground to act on: ' : '';
  return [
    `${nearest}${causes} explain${correction.terms.length === 1 ? 's' : ''} ${percentText(correction.explained)} of the drift of ${countText(correction.points.length, 'point')}.`,
    ...correction.notSeparable.map((names) => `These points cannot tell ${orText(names)} apart.`),
  ];
}

function orText(names: readonly string[]): string {
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)!}`;
}

/** Answers of one group that are told one by one. */
const MOST_ANSWERS = 8;

/** What the clicks of a group come to, one sentence a line. */
export function adviceSentences(group: AdvisedGroup): readonly string[] {
  const [best, ...ties] = group.answers;
  if (best === undefined) return [];
  const where = listText(group.sides);
  const asSet = worstText(group.asSet);
  const lead =
    best.moved === 0
      ? `${capital(where)}: leave ${settingText(best.setting)}${asSet === '' ? '' : `; worst point ${asSet}`}.`
      : `${capital(where)}: ${moveText(group, best)}${asSet === '' ? '' : `; worst point ${worstText(best)}, ${asSet} as set`}.`;
  if (group.worn) return [`${lead} No setting inside the range brings it inside: it has to be rebuilt.`];
  if (group.exact || ties.length === 0) return [lead];
  const shown = ties.slice(0, MOST_ANSWERS).map(({ setting }) => settingText(setting));
  const more = ties.length > MOST_ANSWERS ? ` and ${ties.length - MOST_ANSWERS} more` : '';
  return [lead, `A click does too little for this test to be sure: ${shown.join('; ')}${more} would do as well.`];
}

/** `LSC 6 to 3 (3 clicks in)`. */
function moveText(group: AdvisedGroup, answer: AdvisedSetting): string {
  const moves = group.adjusters.flatMap(({ id, unit }) => {
    const [from, to] = [group.asSet.setting[id]!, answer.setting[id]!];
    return from === to
      ? []
      : [`${id} ${decimalText(from, 2)} to ${decimalText(to, 2)} (${amountText(Math.abs(to - from), unit)})`];
  });
  return listText(moves);
}

function worstText({ worst }: AdvisedSetting): string {
  return worst === undefined
    ? ''
    : `${percentText(worst.share)} of tolerance, ${worst.side} ${speedText(worst.velocity)}`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export const ADVICE_NOTE =
  'Clicks mend a setting on a car; a damper that is to leave the bench is mended inside and tested again. The verdict stands.';
/** Beside every advice in clicks. */
export const CAR_CAUTION =
  'On a car: same left and right, first laps slow, check bump stop, top-out and tyre clearance.';

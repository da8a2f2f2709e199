import type { AdjusterReview } from '../review/adjusters/adjusterReview';
import {
  heldText,
  medianStepText,
  notJudgedText,
  positionText,
  reachText,
  sideText,
  stepState,
  stepText,
} from '../review/adjusters/adjusterWording';
import type { JudgedResult } from '../review/judgedResult';
import { countText, decimalText, listText, percentText } from '../review/wording';

/** What reports say of the adjusters; the same sentences everywhere. They may hold text from files: escape them where they are shown. */

/** One sentence a sweep, and what the points cannot tell apart; empty where no adjuster was moved. */
export function adjusterSentences({ adjusters }: JudgedResult): readonly string[] {
  if (adjusters === undefined) return [];
  const { notSeparable, condition } = adjusters.separability ?? { notSeparable: [], condition: 0 };
  const together =
    notSeparable.length > 1
      ? [
          `These points cannot tell ${listText(notSeparable)} apart${Number.isFinite(condition) ? ` (condition number ${decimalText(condition, 0)})` : ''}.`,
        ]
      : [];
  return [...adjusters.sweeps.map(sweepSentence), ...together];
}

/** `LSC on compression, 0 to 12 clicks with HSC 4, R 6: 4.6 % a click, all 6 steps even; acts 25 to 600 mm/s (...); closed.` */
export function sweepSentence(sweep: AdjusterReview): string {
  const { positions, unit, side, id } = sweep;
  const held = heldText(sweep);
  const range = `${decimalText(positions[0]!, 2)} to ${positionText(positions.at(-1)!, unit)}`;
  const reach = reachText(sweep);
  const parts = [
    [medianStepText(sweep), stepsText(sweep)].filter((part) => part !== undefined).join(', '),
    ...(sweep.deadFrom === undefined ? [] : [`nothing moves from ${positionText(sweep.deadFrom, unit)} on`]),
    ...(reach === undefined ? [] : [`acts ${reach}`]),
    ...crossTalkText(sweep),
    ...closureText(sweep),
  ];
  return `${id} on ${sideText(side)}, ${range}${held === '' ? '' : ` ${held}`}: ${parts.join('; ')}.`;
}

function stepsText(sweep: AdjusterReview): string {
  const open = notJudgedText(sweep.judging);
  const named = sweep.steps.filter((step) =>
    ['uneven', 'wrong way', 'outside limits'].includes(stepState(sweep, step)),
  );
  const steps = named.map((step) => `${stepText(sweep, step)} ${percentText(step.ratio)}`);
  if (named.length > 0)
    return [`outside the limits: ${listText(steps)}`, ...(open === undefined ? [] : [open])].join('; ');
  if (open !== undefined) return open;
  const live = sweep.steps.filter((step) => stepState(sweep, step) !== 'dead');
  return sweep.limits === undefined
    ? 'the spec sets no limits for steps'
    : `${live.length === sweep.steps.length ? 'all ' : ''}${countText(live.length, 'step')} even`;
}

function crossTalkText({ details: { crossTalk }, side, crossLimit }: AdjusterReview): string[] {
  if (crossTalk === undefined) return [];
  const across = side === 'compression' ? 'rebound' : 'compression';
  const limit = crossLimit === undefined ? '' : ` (limit ${percentText(crossLimit)})`;
  return [`moves ${across} by ${percentText(crossTalk.share)} of that${limit}`];
}

function closureText({ closure, unit }: AdjusterReview): string[] {
  if (closure === undefined) return ['not closed by a second run of its first setting'];
  const at = positionText(closure.position, unit);
  return [
    closure.closed ? `closes at ${at}` : `does not close at ${at}: ${percentText(closure.share)} on ${closure.side}`,
  ];
}

import type { AdjusterReview, ReviewedStep, StepJudging } from './adjusterReview';
import { decimalText, forceText, percentText, settingText, speedRangeText } from '../wording';

/** How adjusters are spoken of: findings, terminal and pages say the same. */

/** `12 clicks`, `1 click`, `2.5 turns`, `35 lb`: only words of the trade that take an s get one. */
export function positionText(position: number, unit: string): string {
  return `${decimalText(position, 2)} ${unitText(unit, position)}`;
}

function unitText(unit: string, count: number): string {
  return (unit === 'click' || unit === 'turn') && count !== 1 ? `${unit}s` : unit;
}

/** `R from 5 to 6 clicks` */
export function stepText({ id, unit }: Pick<AdjusterReview, 'id' | 'unit'>, { from, to }: ReviewedStep): string {
  return `${id} from ${decimalText(from, 2)} to ${positionText(to, unit)}`;
}

/** `with LSC 6, HSC 4`; empty where nothing else is adjustable. */
export function heldText({ held }: Pick<AdjusterReview, 'held'>): string {
  return Object.keys(held).length === 0 ? '' : `with ${settingText(held)}`;
}

export function sideText(side: AdjusterReview['side']): string {
  return side === 'both' ? 'compression and rebound' : side;
}

/** What steps are held against: `the median click`, `the reference's own step`. */
export function yardstickText({ law, unit }: Pick<AdjusterReview, 'law' | 'unit'>): string {
  return law === 'as-reference' ? "the reference's own step" : `the median step a ${unit}`;
}

/** Median step in words, `3.4 % a click` or `12 N a turn`. */
export function medianStepText({ medianStep, law, unit }: AdjusterReview): string | undefined {
  if (medianStep === undefined) return undefined;
  const size = Math.abs(medianStep);
  return `${law === 'equal' ? forceText(size) : percentText(size)} a ${unit}`;
}

/** Where the adjuster acts, and what the spec says of that: `25 to 400 mm/s, low speeds (spec 25 to 400 mm/s)`. */
export function reachText({ details: { reach }, band }: AdjusterReview): string | undefined {
  if (reach === undefined) return undefined;
  const range = speedRangeText(reach.from, reach.to);
  const half = reach.halfEffect === undefined ? '' : `, half at ${decimalText(reach.halfEffect * 1000, 0)} mm/s`;
  const spec = band === undefined ? '' : `; spec ${speedRangeText(band[0], band[1])}`;
  return `${range} (${reach.acts}${half}${spec})`;
}

/** Why steps are listed without a judgement; undefined where they are judged. */
export function notJudgedText(judging: StepJudging): string | undefined {
  return NOT_JUDGED[judging];
}

const NOT_JUDGED: Readonly<Record<StepJudging, string | undefined>> = {
  judged: undefined,
  'not repeated': 'significance not judged, as no setting was run again',
  'no uncertainty': 'significance not judged, as no uncertainty is stated',
  'steps too small': 'steps too small for this test',
  'no effect': 'it moves nothing beyond the uncertainty of the points',
  'not closed': 'steps not judged, as the sweep does not close',
  'no reference sweep': 'steps not judged, as the reference has no sweep over these positions',
};

/** What is said of one step; the same word in the document, tables and charts. */
export type StepState = 'even' | 'uneven' | 'wrong way' | 'outside limits' | 'dead' | 'not judged';

/** `outside limits` is a step whose significance was not judged; `not judged` one of a sweep that cannot be judged, or without limits. */
export function stepState(sweep: AdjusterReview, step: ReviewedStep): StepState {
  if (isDead(sweep, step)) return 'dead';
  if (step.wrongWay) return 'wrong way';
  if (step.uneven) return 'uneven';
  if (sweep.judging === 'judged') return sweep.limits === undefined ? 'not judged' : 'even';
  return step.outsideLimits ? 'outside limits' : 'not judged';
}

function isDead({ deadFrom, countsFrom, reversed }: AdjusterReview, { from, to }: ReviewedStep): boolean {
  if (deadFrom === undefined) return false;
  return (countsFrom === 'closed') !== reversed ? from >= deadFrom : to <= deadFrom;
}

/** Energy of a cycle that a step gains per unit from `from` to `to` [J]; undefined without energies. */
export function energyOfStep({ steps, details }: AdjusterReview, step: ReviewedStep): number | undefined {
  const energy = details.energies?.perUnit[steps.indexOf(step)];
  return energy !== undefined && Number.isFinite(energy) ? energy : undefined;
}

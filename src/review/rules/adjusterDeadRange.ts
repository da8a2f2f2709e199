import type { AdjusterReview } from '../adjusters/adjusterReview';
import { heldText, medianStepText, positionText, sideText } from '../adjusters/adjusterWording';
import type { Finding } from '../finding';
import { decimalText } from '../wording';
import { placeOfPosition } from './adjusterPlace';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Positions over which an adjuster moves nothing, though its reference does there; one finding a sweep. */
export function adjusterDeadRange(context: RuleContext): readonly Finding[] {
  return context.adjusters.sweeps.flatMap((sweep) => {
    const { deadFrom } = sweep;
    if (deadFrom === undefined) return [];
    const end = openEnd(sweep);
    const held = heldText(sweep);
    return raise(context.overrides, 'adjuster-dead-range', {
      at: placeOfPosition(context, sweep, deadFrom),
      message: `${context.unit}: ${messageOf(sweep, deadFrom, end)}${held === '' ? '' : `, ${held}`}.`,
      evidence: { adjuster: sweep.id, unit: sweep.unit, deadFrom, to: end, positions: sweep.positions.length },
      ...(sweep.side !== 'both' && { side: sweep.side }),
    });
  });
}

function messageOf(sweep: AdjusterReview, deadFrom: number, end: number): string {
  const range = `${sweep.id} from ${decimalText(deadFrom, 2)} to ${positionText(end, sweep.unit)}`;
  const side = sideText(sweep.side);
  if (sweep.judging === 'no effect') return `${range} moves ${side} nowhere beyond the uncertainty of the points`;
  const before = medianStepText(sweep);
  return `${range} does not move ${side}${before === undefined ? '' : `; before that it moves ${before}`}`;
}

/** The position that is farthest open. */
function openEnd({ positions, countsFrom, reversed }: AdjusterReview): number {
  const opensUpwards = (countsFrom === 'closed') !== reversed;
  return opensUpwards ? positions.at(-1)! : positions[0]!;
}

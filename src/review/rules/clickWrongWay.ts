import type { AdjusterReview } from '../adjusters/adjusterReview';
import { medianStepText, sideText, stepText } from '../adjusters/adjusterWording';
import type { Finding } from '../finding';
import { evidenceNumber, listText, percentText } from '../wording';
import { placeOfPosition } from './adjusterPlace';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Steps that harden as the adjuster opens, beyond their uncertainty; one finding a sweep. */
export function clickWrongWay(context: RuleContext): readonly Finding[] {
  return context.adjusters.sweeps.flatMap((sweep) =>
    sweep.reversed ? wholeSweep(context, sweep) : steps(context, sweep),
  );
}

function wholeSweep(context: RuleContext, sweep: AdjusterReview): readonly Finding[] {
  if (sweep.judging === 'not closed' || sweep.judging === 'steps too small') return [];
  const stop = sweep.countsFrom === 'closed' ? 'open' : 'closed';
  const size = medianStepText(sweep);
  return raise(context.overrides, 'click-wrong-way', {
    at: placeOfPosition(context, sweep, sweep.positions[0]!),
    message: `${context.unit}: opening ${sweep.id} makes ${sideText(sweep.side)} harder over the whole sweep${size === undefined ? '' : `, ${size}`}. Where its count runs from the ${stop} stop the spec must say countsFrom: ${stop}.`,
    evidence: { adjuster: sweep.id, unit: sweep.unit, from: sweep.positions[0]!, to: sweep.positions.at(-1)! },
    ...(sweep.side !== 'both' && { side: sweep.side }),
    ...(sweep.judging !== 'judged' && { atMost: 'note' as const }),
  });
}

function steps(context: RuleContext, sweep: AdjusterReview): readonly Finding[] {
  const wrong = sweep.steps.filter((step) => step.wrongWay);
  const worst = wrong.reduce<(typeof wrong)[number] | undefined>(
    (a, b) => (a === undefined || b.ratio < a.ratio ? b : a),
    undefined,
  );
  if (worst === undefined) return [];
  return raise(context.overrides, 'click-wrong-way', {
    at: placeOfPosition(context, sweep, worst.to),
    message: `${context.unit}: opening ${listText(wrong.map((step) => stepText(sweep, step)))} makes ${sideText(sweep.side)} harder, by ${percentText(-worst.ratio)} of a median step.`,
    evidence: {
      adjuster: sweep.id,
      unit: sweep.unit,
      from: worst.from,
      to: worst.to,
      ratio_percent: evidenceNumber(worst.ratio * 100),
      ...(worst.U !== undefined && { uncertainty_percent: evidenceNumber(worst.U * 100) }),
      steps: wrong.length,
    },
    ...(sweep.side !== 'both' && { side: sweep.side }),
  });
}

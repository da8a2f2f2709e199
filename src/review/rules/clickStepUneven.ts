import type { AdjusterReview, ReviewedStep } from '../adjusters/adjusterReview';
import { energyOfStep, heldText, notJudgedText, stepText, yardstickText } from '../adjusters/adjusterWording';
import type { Finding } from '../finding';
import { countText, decimalText, evidenceNumber, percentText, settingText } from '../wording';
import { placeOfPosition } from './adjusterPlace';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/**
 * Steps outside `tolerance.clickStep` and beyond their uncertainty, one finding a sweep at its worst step; a step that goes the wrong way
 * has a finding of its own (`click-wrong-way`) and is not told twice. Where nothing was run again
 * significance cannot be judged, and steps outside the limits are a note.
 */
export function clickStepUneven(context: RuleContext): readonly Finding[] {
  return context.adjusters.sweeps.flatMap((sweep) => {
    const judged = sweep.judging === 'judged';
    const found = sweep.steps.filter((step) => (judged ? step.uneven && !step.wrongWay : step.outsideLimits));
    const [worst, ...rest] = [...found].sort((a, b) => unevenness(b) - unevenness(a));
    if (worst === undefined || sweep.limits === undefined) return [];
    const at = placeOfPosition(context, sweep, worst.to);
    const related = rest.flatMap((step) => {
      const place = placeOfPosition(context, sweep, step.to);
      return place.file === at.file
        ? [{ position: place.position, message: `${stepText(sweep, step)}: ${percentText(step.ratio)}` }]
        : [];
    });
    return raise(context.overrides, 'click-step-uneven', {
      at,
      message: messageOf(context, sweep, worst, found.length),
      evidence: evidenceOf(sweep, worst, found.length),
      related,
      ...(sweep.side !== 'both' && { side: sweep.side }),
      ...(!judged && { atMost: 'note' as const }),
    });
  });
}

function messageOf(context: RuleContext, sweep: AdjusterReview, worst: ReviewedStep, count: number): string {
  const { least, most } = sweep.limits!;
  const of = `${percentText(worst.ratio)} of ${yardstickText(sweep)}`;
  const spread = worst.U === undefined ? '' : `, U ${percentText(worst.U)}`;
  const more = count > 1 ? ` ${countText(count, 'step')} of ${sweep.steps.length} are outside.` : '';
  const open = notJudgedText(sweep.judging);
  const unjudged = open === undefined ? '' : ` Outside the limits, ${open}.`;
  const gained = energyOfStep(sweep, worst);
  const energy = gained === undefined ? '' : `; energy ${energyText(gained)} a ${sweep.unit}`;
  return `${context.unit}: ${stepText(sweep, worst)} is ${of} (limits ${percentText(least)} to ${percentText(most)}${spread}${energy}).${more}${unjudged}`;
}

function energyText(joule: number): string {
  return `${decimalText(joule, Math.abs(joule) < 10 ? 2 : 1)} J`;
}

/** How far a step is from even, on a scale where twice and half weigh alike. */
function unevenness({ ratio }: ReviewedStep): number {
  return ratio > 0 ? Math.abs(Math.log(ratio)) : Infinity;
}

function evidenceOf(sweep: AdjusterReview, worst: ReviewedStep, count: number): Finding['evidence'] {
  const { least, most } = sweep.limits!;
  const held = heldText(sweep);
  const energy = energyOfStep(sweep, worst);
  return {
    adjuster: sweep.id,
    unit: sweep.unit,
    from: worst.from,
    to: worst.to,
    ratio_percent: evidenceNumber(worst.ratio * 100),
    least_percent: evidenceNumber(least * 100),
    most_percent: evidenceNumber(most * 100),
    law: sweep.law,
    steps: count,
    ...(worst.U !== undefined && { uncertainty_percent: evidenceNumber(worst.U * 100) }),
    ...(energy !== undefined && { energyPerUnit_J: evidenceNumber(energy) }),
    ...(held !== '' && { held: settingText(sweep.held) }),
  };
}

import type { VoidMeasure } from '../../analysis/runAnalysis';
import type { Side } from '../../analysis/side';
import type { Finding } from '../finding';
import { positionOfStep } from '../judgeInput';
import { evidenceNumber, lengthText } from '../wording';
import type { RuleId } from './catalogue';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { adviceOf, heldDownByInertia, raise, relatedSteps, stepText, worstFirst } from './ruleContext';

/** A void shorter than this share of the stroke is not reported. */
const LEAST_SHARE = 0.01;
/** One step cannot tell a void from lag, which lengthens it by up to this much per peak speed [s]. */
const LAG_OF_ONE_STEP = 0.005;

/** What total force at gas level after a reversal points to. */
const INSIDE: Readonly<Record<Side, string>> = {
  rebound: 'the rod-side chamber lost pressure during compression',
  compression: 'the chamber did not refill during rebound, or holds air',
};

/** Travel without damping after reversal: inside the damper, or play in mounting or rod end. One finding a side and kind. */
export function loopVoid(context: RuleContext): readonly Finding[] {
  const voids = (context.input.analysis?.voids ?? []).filter((v) => v.length > limitOf(context, v));
  const inside = worstFirst(
    voids.filter((v) => v.at !== 'zero'),
    (v) => v.length,
  );
  const mounting = worstFirst(
    voids.filter((v) => v.at === 'zero'),
    (v) => v.length,
  );
  return [
    ...inside.flatMap((group) => report(context, 'loop-void', group)),
    ...mounting.flatMap((group) => report(context, 'void-mounting', group)),
  ];
}

function report(
  context: RuleContext,
  rule: RuleId,
  group: readonly [VoidMeasure, ...VoidMeasure[]],
): readonly Finding[] {
  const [worst, ...rest] = group;
  const { side } = worst;
  const at = positionOfStep(context.input, worst.key);
  const place = side === 'rebound' ? 'compressed end' : 'extended end';
  const lag = worst.lagCorrected ? '' : ' (not corrected for lag)';
  return raise(context.overrides, rule, {
    at,
    message:
      `${context.unit}: ${side} gives no damping over the first ${lengthText(worst.length)}${lag} after the ${place}, ` +
      `best seen at ${stepText(context, worst.key, side)}. ${meaning(worst)}`,
    next: worst.at === 'undecided' ? `Check fixture, pins and rod ends first. ${adviceOf(rule)}` : adviceOf(rule),
    side,
    evidence: {
      length_mm: evidenceNumber(worst.length * 1000),
      position: `from the ${place}`,
      forceLevel: worst.at,
      lagCorrected: worst.lagCorrected ? 'yes' : 'no',
      steps: worst.steps,
      settings: group.length,
    },
    related: relatedSteps(
      context,
      at.file,
      rest,
      (v) => `${lengthText(v.length)} at ${stepText(context, v.key, v.side)}`,
    ),
    ...heldDownByInertia(context, worst.key, side),
  });
}

function meaning({ at, side }: VoidMeasure): string {
  if (at === 'zero') return 'Total force stays at zero there: play in mounting or rod end.';
  if (at === 'gas level') return `Total force stays at gas level there: ${INSIDE[side]}.`;
  return `Gas level and zero cannot be told apart here: ${INSIDE[side]}, or mounting or rod end has play.`;
}

function limitOf(context: RuleContext, { key, side, lagCorrected, at }: VoidMeasure): number {
  const limit = ruleLimit(at === 'zero' ? 'void-mounting' : 'loop-void', context.overrides);
  const step = context.input.logs[key.log]?.reduced.steps[key.step];
  const base = Math.max(limit, LEAST_SHARE * 2 * (step?.amplitude ?? 0));
  return lagCorrected ? base : base + LAG_OF_ONE_STEP * (step?.[side].peakSpeed ?? 0);
}

import type { StepKey } from '../../analysis/runAnalysis';
import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import { adoptedRatio } from '../adoptedLoops';
import type { Finding } from '../finding';
import { positionOfStep } from '../judgeInput';
import { countText, decimalText, evidenceNumber, forceText, percentText } from '../wording';
import type { RuleId } from './catalogue';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { heldDownByInertia, raise, relatedSteps, stepText, worstFirst } from './ruleContext';

interface LoopValue {
  readonly key: StepKey;
  readonly side: Side;
  readonly value: number;
}

/** Asymmetry of strokes; one finding a side. */
export function loopAsymmetric(context: RuleContext): readonly Finding[] {
  const values = (context.input.analysis?.loops ?? []).flatMap((loop) =>
    SIDES.flatMap((side) => {
      const percent = loop.symmetry[side];
      return percent === undefined ? [] : [{ key: loop.key, side, value: percent / 100 }];
    }),
  );
  return overLimit(context, 'loop-asymmetric', values, (worst, limit) => ({
    says: `${worst.side} loop is lopsided by ${percentText(worst.value)} of its largest force (limit ${percentText(limit)})`,
    evidence: { asymmetry_percent: evidenceNumber(worst.value * 100), limit_percent: evidenceNumber(limit * 100) },
  }));
}

/** Hysteresis at half of peak speed; one finding a side. */
export function hysteresisHigh(context: RuleContext): readonly Finding[] {
  const lags = context.input.analysis?.lags ?? [];
  const values = lags.map((lag) => ({ key: lag.key, side: lag.side, value: lag.hysteresis / 100, lag: lag.lag }));
  const lagText = (lag: number | undefined): string =>
    lag === undefined ? '' : `; lag ${decimalText(lag * 1000, 2)} ms`;
  return overLimit(context, 'hysteresis-high', values, (worst, limit) => ({
    says: `${worst.side} hysteresis is ${percentText(worst.value)} at half of peak speed (limit ${percentText(limit)}${lagText(worst.lag)})`,
    evidence: {
      hysteresis_percent: evidenceNumber(worst.value * 100),
      limit_percent: evidenceNumber(limit * 100),
      ...(worst.lag !== undefined && { lag_ms: evidenceNumber(worst.lag * 1000) }),
    },
  }));
}

/** A ratio that noise alone reaches this many standard deviations out is no ripple, in a sweep of hundreds of steps neither. */
const BEYOND_CHANCE = 3.6;

/**
 * Force ripple over the noise of the channel, beyond what few samples make of noise alone; one finding a side. Where the loops that the
 * reference was adopted from ripple themselves, beyond theirs: a model whose valves chatter is not rough for it.
 */
export function loopRough(context: RuleContext): readonly Finding[] {
  const { analysis, table, adoptedRoughness = [] } = context.input;
  if (analysis === undefined) return [];
  const rough = analysis.roughness.filter(
    ({ ratio, samples }) => samples === undefined || ratio > 1 + BEYOND_CHANCE / Math.sqrt(samples),
  );
  const values = rough.map((r) => {
    const adopted = adoptedRatio(adoptedRoughness, r, analysis, table);
    const value = r.ratio / Math.max(1, adopted ?? 1);
    return { key: r.key, side: r.side, value, ratio: r.ratio, adopted, amplitude: r.amplitude };
  });
  return overLimit(context, 'loop-rough', values, ({ value, ratio, adopted, amplitude, side }, limit) => ({
    says:
      `${side} force holds ${decimalText(ratio, 2)} times the ripple that noise explains` +
      (adopted === undefined ? '' : `, ${decimalText(value, 2)} times that of the adopted loop`) +
      ` (limit ${decimalText(limit, 2)}), ${forceText(amplitude)} in size`,
    evidence: {
      ratio: evidenceNumber(ratio),
      ...(adopted !== undefined && { adoptedRatio: evidenceNumber(adopted) }),
      limit: evidenceNumber(limit),
      ripple_N: evidenceNumber(amplitude),
    },
  }));
}

function overLimit<Value extends LoopValue>(
  context: RuleContext,
  rule: RuleId,
  values: readonly Value[],
  describe: (worst: Value, limit: number) => { readonly says: string; readonly evidence: Finding['evidence'] },
): readonly Finding[] {
  const limit = ruleLimit(rule, context.overrides);
  const over = values.filter((v) => v.value > limit);
  return worstFirst(over, (v) => v.value).flatMap((group) => {
    const [worst, ...rest] = group;
    const at = positionOfStep(context.input, worst.key);
    const { says, evidence } = describe(worst, limit);
    const many = group.length > 1 ? ` (${countText(group.length, 'step')} over the limit)` : '';
    return raise(context.overrides, rule, {
      at,
      message: `${context.unit}: ${says}, at ${stepText(context, worst.key, worst.side)}${many}.`,
      side: worst.side,
      evidence: { ...evidence, steps: group.length },
      related: relatedSteps(context, at.file, rest, (v) => `${v.side} at ${stepText(context, v.key, v.side)}`),
      ...heldDownByInertia(context, worst.key, worst.side),
    });
  });
}

import type { Finding } from '../finding';
import { positionOfStep } from '../judgeInput';
import { countText, decimalText, evidenceNumber } from '../wording';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { raise, relatedSteps, stepText, worstFirst } from './ruleContext';

/** Steps whose force trends with the cycle number, one finding a side. */
export function stepNotSettled(context: RuleContext): readonly Finding[] {
  const limit = ruleLimit('step-not-settled', context.overrides);
  const trending = (context.input.analysis?.notSettled ?? [])
    .filter((s) => s.pValue < limit)
    .map((s) => ({ ...s, key: s.step }));
  return worstFirst(trending, (s) => -s.pValue).flatMap((group) => {
    const [worst, ...rest] = group;
    const at = positionOfStep(context.input, worst.key);
    return raise(context.overrides, 'step-not-settled', {
      at,
      message: `${context.unit}: ${worst.side} force still moves by ${decimalText(worst.change, 1)} N from its first to its last cycle at ${stepText(context, worst.key, worst.side)} (${countText(group.length, 'step')} so).`,
      side: worst.side,
      evidence: {
        pValue: evidenceNumber(worst.pValue),
        steps: group.length,
        change_N: evidenceNumber(worst.change),
      },
      related: relatedSteps(context, at.file, rest, (s) => `${s.side} at ${stepText(context, s.key, s.side)}`),
    });
  });
}

/** Steps with too few samples around peak speed, one finding a side. */
export function samplingTooSlow(context: RuleContext): readonly Finding[] {
  const limit = ruleLimit('sampling-too-slow', context.overrides);
  const sparse = (context.input.analysis?.tooSlow ?? [])
    .filter((s) => s.samples < limit)
    .map((s) => ({ ...s, key: s.step }));
  return worstFirst(sparse, (s) => -s.samples).flatMap((group) => {
    const [worst, ...rest] = group;
    const at = positionOfStep(context.input, worst.key);
    return raise(context.overrides, 'sampling-too-slow', {
      at,
      message: `${context.unit}: only ${countText(worst.samples, 'sample')} around peak speed in ${worst.side} at ${stepText(context, worst.key, worst.side)}; ${decimalText(limit, 0)} are needed (${countText(group.length, 'step')} so).`,
      side: worst.side,
      evidence: { samples: worst.samples, needed: limit, steps: group.length },
      related: relatedSteps(
        context,
        at.file,
        rest,
        (s) => `${s.side} at ${stepText(context, s.key, s.side)}: ${countText(s.samples, 'sample')}`,
      ),
    });
  });
}

import type { Finding } from '../finding';
import { decimalText, evidenceNumber } from '../wording';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Largest lag between logged velocity and displacement [s]. */
const MOST_LAG = 0.002;

/** Logged velocity against the derivative of displacement: scale, sign and lag. */
export function velocityDisagrees(context: RuleContext): readonly Finding[] {
  const limit = ruleLimit('velocity-disagrees', context.overrides);
  return context.input.logs.flatMap(({ head, reduced }) => {
    const check = reduced.velocityCheck;
    if (check === undefined) return [];
    const scaleOff = !(Math.abs(check.scale - 1) <= limit);
    const lagOff = !(Math.abs(check.lag) <= MOST_LAG);
    if (!scaleOff && !lagOff) return [];
    const says = [
      ...(check.scale < 0
        ? ['has the opposite sign']
        : scaleOff
          ? [`is ${decimalText(check.scale, 3)} times the derivative of displacement`]
          : []),
      ...(lagOff ? [`is ${decimalText(Math.abs(check.lag) * 1000, 1)} ms ${check.lag > 0 ? 'late' : 'early'}`] : []),
    ].join(' and ');
    return raise(context.overrides, 'velocity-disagrees', {
      at: { file: head.file, position: { line: head.headerLine, column: 1 } },
      message: `${context.unit}: the logged velocity ${says}.`,
      evidence: { scale: evidenceNumber(check.scale), lag_ms: evidenceNumber(check.lag * 1000) },
    });
  });
}

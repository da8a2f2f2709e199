import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import { evidenceNumber, forceText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

const COVERAGE = 2;

/** Friction beyond `tolerance.friction` and its own uncertainty; not judged without that tolerance or without a creep step. */
export function frictionHigh(context: RuleContext): readonly Finding[] {
  const { input, unit, overrides } = context;
  const limit = input.spec?.tolerance.friction;
  const friction = input.analysis?.gas.friction;
  if (limit === undefined || friction === undefined) return [];
  const U = COVERAGE * (input.analysis?.gas.frictionU ?? 0);
  if (!(friction - U > limit)) return [];
  return raise(overrides, 'friction-high', {
    at: atHeader(input),
    message: `${unit}: friction is ${forceText(friction)}, the spec allows ${forceText(limit)}.`,
    evidence: {
      friction_N: evidenceNumber(friction),
      limit_N: evidenceNumber(limit),
      uncertainty_N: evidenceNumber(U),
    },
  });
}

import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** No spec of the id that the measurement names, or none named. */
export function specMissing(context: RuleContext): readonly Finding[] {
  const { input, unit } = context;
  if (input.spec !== undefined) return [];
  const id = input.table.spec;
  return raise(context.overrides, 'spec-missing', {
    at: atHeader(input),
    message:
      id === '' ? `${unit}: the measurement names no spec.` : `${unit}: there is no spec ${id} in the repository.`,
    evidence: { spec: id },
  });
}

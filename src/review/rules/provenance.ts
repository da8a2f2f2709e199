import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import { listText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

const STALE_WORDS = {
  method: 'method of analysis',
  spec: 'spec',
  mapping: 'mapping',
  bench: 'bench data',
  source: 'log',
} as const;

/** How a committed result stands to its logs: altered, stale or unsourced. */
export function provenance(context: RuleContext): readonly Finding[] {
  const { input, unit, overrides } = context;
  const { provenance: state } = input;
  switch (state.kind) {
    case 'altered':
      return raise(overrides, 'result-altered', {
        at: { file: input.file, position: { line: Math.max(1, state.line), column: 1 } },
        message: `${unit}: this line reads "${state.was}", its log gives "${state.expected}".`,
        evidence: { was: state.was, expected: state.expected },
      });
    case 'stale':
      return raise(overrides, 'result-stale', {
        at: atHeader(input),
        message:
          `${unit}: ${listText(state.because.map((cause) => STALE_WORDS[cause]))} changed since this result was written. ${state.detail}`.trim(),
        evidence: { because: state.because.join(', ') },
      });
    case 'unsourced':
      return raise(overrides, 'result-unsourced', {
        at: atHeader(input),
        message: `${unit}: ${state.detail}`,
        evidence: state.missing.length > 0 ? { missing: state.missing.join(', ') } : {},
      });
    default:
      return [];
  }
}

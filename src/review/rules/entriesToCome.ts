import type { RuleText } from './ruleEntry';

/** Rules whose judging is not built yet: their ids and levels are fixed, so that specs and waivers may already name them. */
export const RULES_TO_COME = {
  'pair-mismatch': toCome(
    'error',
    'Pair does not match',
    'Two dampers of one axle differ by more than the pair tolerance.',
  ),
  'fade-over-limit': toCome(
    'error',
    'Fade over its limit',
    'Damping force falls by more than the spec allows over an endurance run.',
  ),
  'duty-not-covered': toCome(
    'warning',
    'Test does not cover the duty',
    'The car uses speeds that the test never reached.',
  ),
  'bench-out-of-control': toCome(
    'warning',
    'Bench out of control',
    'The check damper was outside its limits on the day.',
  ),
} as const satisfies Record<string, RuleText>;

function toCome(level: RuleText['level'], title: string, sentence: string): RuleText {
  return { level, title, sentence, next: '', causes: [] };
}

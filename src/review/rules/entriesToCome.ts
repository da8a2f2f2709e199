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
  'reference-moved': toCome('warning', 'Reference moved', 'This branch moves a reference curve.'),
  'reference-rows-removed': toCome(
    'warning',
    'Rows removed from a reference',
    'This branch removes rows or settings from a reference.',
  ),
  'reference-crept': toCome(
    'warning',
    'Reference crept',
    'The reference was moved ahead of the result it now fits, or in many small moves.',
  ),
  'tolerance-moved': toCome('warning', 'Tolerance moved', 'This branch moves a tolerance.'),
  'test-plan-narrowed': toCome('warning', 'Test plan narrowed', 'This branch takes speeds out of a test plan.'),
  'mapping-moved': toCome('warning', 'Mapping moved', 'This branch changes how logs are read.'),
  'bench-data-moved': toCome('warning', 'Bench data moved', 'This branch changes the data of a bench.'),
  'method-moved': toCome('warning', 'Method moved', 'Results were written by another version of the analysis.'),
  'waiver-added': toCome('warning', 'Waiver added', 'This branch adds or extends a waiver.'),
  'retest-not-declared': toCome(
    'warning',
    'Retest not declared',
    'A build was tested again and the log does not say so.',
  ),
  'history-broken': toCome('warning', 'History broken', 'A serial or a build was renamed out of its history.'),
} as const satisfies Record<string, RuleText>;

function toCome(level: RuleText['level'], title: string, sentence: string): RuleText {
  return { level, title, sentence, next: '', causes: [] };
}

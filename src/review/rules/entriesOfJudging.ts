import type { RuleText } from './ruleEntry';

/** Rules about the curve against its reference. */
export const JUDGING_RULES = {
  'drift-from-reference': {
    level: 'error',
    title: 'Damping force out of tolerance',
    sentence: 'Damping force lies outside its tolerance, and measurement uncertainty does not explain it.',
    next: 'Check setting and temperature first and test again; if it stays, look at the side and speeds that are named.',
    causes: [
      'adjuster not where the log says',
      'oil temperature',
      'shims or bleed changed in the rebuild',
      'oil level or air',
    ],
  },
  'drift-undecided': {
    level: 'note',
    title: 'Test cannot decide here',
    sentence:
      'The drift is so close to its limit, or the basis so different, that this test proves neither pass nor fail.',
    next: 'Do what the finding says would settle it, and test again.',
    causes: [],
  },
  'change-significant': {
    level: 'note',
    title: 'Changed since the build before',
    sentence: 'The damper differs from its build before by more than runs of one build differ from each other.',
    next: 'If the change was not meant, look at what was done in the rebuild; if it was, nothing is to do.',
    causes: [
      'shims, bleed or piston changed',
      'adjuster indexed anew',
      'other oil or gas charge',
      'parts run in since then',
    ],
    cannotTell:
      'It looks at the mean of each side; a change at a few speeds can hide in it, and drift of the bench between the two tests looks alike.',
  },
  'reference-missing': {
    level: 'note',
    title: 'No reference to hold it against',
    sentence: 'There is no reference curve for this spec or this setting, so it is drawn and listed, undecided.',
    next: 'Name a reference in the spec, or adopt an approved result as one.',
    causes: ['first unit of a new spec', 'setting that the reference never had', 'path of the reference misspelled'],
  },
  'reference-not-monotonic': {
    level: 'warning',
    title: 'Reference falls with speed',
    sentence: 'Damping force of the reference falls as speed rises, which few valves do.',
    next: 'Look at the named row of the reference: a slip of the pen, a swapped row, or a step that went wrong.',
    causes: ['two rows swapped', 'digit lost', 'bad step in the adopted test'],
  },
  'test-basis-differs': {
    level: 'warning',
    title: 'Test and reference were not run alike',
    sentence: 'The test differs from its reference in a way that changes force, so the two may not be compared.',
    next: 'Run the test as the reference was run, or make a reference for this way of testing.',
    causes: ['other program on the bench', 'damper clamped at another height', 'reference adopted from another bench'],
  },
  'shape-changed': {
    level: 'warning',
    title: 'Shape of the curve changed',
    sentence: 'The curve of a side is of another kind than spec or reference, beyond the uncertainties of both.',
    next: 'Look at piston, shim stack and bleed of that side against the build sheet before the clicks are touched.',
    cannotTell: 'A knee outside the measured speeds is not seen, and forces alone do not say which valve makes it.',
    causes: [
      'shims in another order or number',
      'preload of the stack',
      'other piston or bleed',
      'reference of another build',
    ],
  },
} as const satisfies Record<string, RuleText>;

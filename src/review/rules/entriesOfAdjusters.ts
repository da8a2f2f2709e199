import type { RuleText } from './ruleEntry';

/** Rules about the adjusters, from sweeps over their positions. */
export const ADJUSTER_RULES = {
  'click-step-uneven': {
    level: 'error',
    title: 'Click step uneven',
    sentence: 'One click changes force by much more or less than its neighbours.',
    next: 'Feel the detents over that range, run the sweep again, and if it stays take the adjuster out and look at needle and seat.',
    cannotTell: 'It compares clicks with each other: an adjuster that is too weak all along shows as drift, not here.',
    causes: [
      'worn or scored needle or seat',
      'detent ball or spring that skips',
      'dirt on the needle',
      'a click miscounted while sweeping',
    ],
  },
  'click-wrong-way': {
    level: 'error',
    title: 'Click works the wrong way',
    sentence: 'Opening the adjuster makes the damper harder.',
    next: 'Check which stop the log counts from and that the right adjuster was turned; then sweep again.',
    cannotTell: 'A setting written down wrong looks the same as an adjuster that works backwards.',
    causes: [
      'clicks counted from the other stop',
      'another adjuster turned by mistake',
      'two settings swapped in the log',
    ],
  },
  'adjuster-dead-range': {
    level: 'error',
    title: 'Adjuster does nothing',
    sentence: 'From some click on the adjuster changes nothing.',
    next: 'Check that the adjuster turns freely to its stop; if it does, look for a needle out of its taper or a broken stem.',
    cannotTell:
      'Positions that the sweep leaves out are not judged, nor a dead range shorter than three of its positions.',
    causes: [
      'needle out of the taper of its seat',
      'stem or detent broken',
      'valve wide open before the stop',
      'wrong needle fitted',
    ],
  },
  'adjuster-crosstalk': {
    level: 'warning',
    title: 'Adjuster acts on the other side',
    sentence: 'An adjuster changes the other side more than it may.',
    next: 'Check that nothing else was moved and that temperature held; then look at the check valve of its circuit.',
    cannotTell:
      'A bleed that works in both directions by design shows alike: then the spec should say side: both or a wider limit.',
    causes: ['check valve that does not close', 'leak past the needle', 'heat during the sweep'],
  },
  'sweep-not-closed': {
    level: 'warning',
    title: 'Sweep does not close',
    sentence: 'The first setting, run again at the end, gives another force.',
    next: 'Warm the damper up until force stays, then sweep again in a shorter time.',
    cannotTell: 'Heat and a click that was not set back right look alike; steps of such a sweep are not judged.',
    causes: [
      'oil warming up during the sweep',
      'adjuster not set back to its first position',
      'air or gas getting lost',
    ],
  },
} as const satisfies Record<string, RuleText>;

import type { FileKind } from '../files/recognise';

/** What a verdict rests on, as far as it can be moved by itself. The order is that in which causes are told. */
export const PARTS = [
  'reference',
  'tolerance',
  'plan',
  'bench data',
  'waiver',
  'mapping',
  'rules',
  'spec',
  'method',
  'measurement',
] as const;
export type Part = (typeof PARTS)[number];

/** Which of the two states a part is taken from. */
export type Side = 'base' | 'head';

/** Top-level keys of a spec that are a part of their own; every other key belongs to the spec itself. */
const SPEC_PARTS: Readonly<Record<string, Part>> = {
  tolerance: 'tolerance',
  limits: 'tolerance',
  purpose: 'tolerance',
  normalise: 'tolerance',
  test: 'plan',
  rules: 'rules',
  reference: 'reference',
};
const CONFIG_PARTS: Readonly<Record<string, Part>> = {
  logs: 'mapping',
  benches: 'bench data',
  waivers: 'waiver',
};

export function partOfKey(kind: 'spec' | 'config', key: string): Part {
  const known = kind === 'spec' ? SPEC_PARTS : CONFIG_PARTS;
  return Object.hasOwn(known, key) ? known[key]! : kind === 'spec' ? 'spec' : 'rules';
}

/** The part that a whole file belongs to; those of specs and of damper-review.yaml are told apart key by key. */
export function partOfKind(kind: Exclude<FileKind, 'spec' | 'config'>): Part {
  if (kind === 'reference') return 'reference';
  return kind === 'csvw' ? 'mapping' : 'measurement';
}

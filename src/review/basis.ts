import type { ForceTable, TestBasis } from '../files/forceTable';
import { lengthText } from './wording';

/** How far two tests may differ and still be compared. */
const STROKE_RELATIVE = 0.02;
const MID_POSITION = 0.005;
/** Rounding of a length in a file must not decide. */
const ROUNDING = 1e-9;

export type BasisKey = 'drive' | 'stroke' | 'midPosition' | 'temperatureAt';

export interface BasisDifference {
  readonly key: BasisKey;
  readonly measured: string;
  readonly reference: string;
}

export interface BasisComparison {
  /** Differences that forbid a comparison of forces. */
  readonly differs: readonly BasisDifference[];
  /** Differences that a reader should know of but that forbid nothing: where temperature was taken. */
  readonly notes: readonly BasisDifference[];
  /** Keys that one side or both do not state, so that they were not compared. */
  readonly notCompared: readonly { readonly key: BasisKey; readonly missingIn: 'test' | 'reference' | 'both' }[];
}

/** Names of the keys as people say them. */
export const BASIS_WORDS: Readonly<Record<BasisKey, string>> = {
  drive: 'drive',
  stroke: 'stroke',
  midPosition: 'mid position',
  temperatureAt: 'place of the temperature sensor',
};

const KEYS: readonly BasisKey[] = ['drive', 'stroke', 'midPosition', 'temperatureAt'];

/** Holds the way two tests were run against each other: stroke within 2 %, mid position within 5 mm, same drive. */
export function compareBasis(measured: TestBasis, reference: TestBasis): BasisComparison {
  const differs: BasisDifference[] = [];
  const notes: BasisDifference[] = [];
  const notCompared: BasisComparison['notCompared'][number][] = [];
  for (const key of KEYS) {
    const a = measured[key];
    const b = reference[key];
    if (a === undefined || b === undefined) notCompared.push({ key, missingIn: missingIn(a, b) });
    else if (!isAlike(key, a, b)) {
      const difference = { key, measured: valueText(a), reference: valueText(b) };
      (key === 'temperatureAt' ? notes : differs).push(difference);
    }
  }
  return { differs, notes, notCompared };
}

function isAlike(key: BasisKey, a: string | number, b: string | number): boolean {
  if (typeof a !== 'number' || typeof b !== 'number') return a === b;
  return Math.abs(a - b) <= (key === 'stroke' ? STROKE_RELATIVE * b : MID_POSITION) + ROUNDING;
}

function valueText(value: string | number): string {
  return typeof value === 'number' ? lengthText(value) : value;
}

/** The reference's own basis, completed by the stroke of the spec's plan. */
export function basisOfReference(reference: ForceTable, plannedStroke: number | undefined): TestBasis {
  if (reference.basis.stroke !== undefined || plannedStroke === undefined) return reference.basis;
  return { ...reference.basis, stroke: plannedStroke };
}

function missingIn(a: unknown, b: unknown): 'test' | 'reference' | 'both' {
  if (a === undefined) return b === undefined ? 'both' : 'test';
  return 'reference';
}

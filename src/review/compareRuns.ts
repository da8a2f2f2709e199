import { SIDE_SIGN } from '../analysis/side';
import { studentTwoSidedP } from '../analysis/statistics/distributions';
import type { ForceTable } from '../files/forceTable';
import { basisDifferenceTexts } from './comparedBasis';
import { buildChange } from './buildChange';
import { changeStatement } from './changeStatement';
import type { ComparedPoint, ComparedRun, Comparison } from './comparison';
import { forcesOfPairs, meanRelative, type PairedForce } from './pairedForces';
import { isClearOfZero, pairRows } from './pairedRows';
import { settingOfRow } from './referenceCurves';
import type { RunToRun } from './runToRun';

export interface CompareOptions {
  /** Keys of the spec that differ between both, from `specKeyChanges`. */
  readonly specChanges?: Comparison['specChanges'];
  /** What repeats say of the spec that both were tested by. */
  readonly runToRun?: RunToRun | undefined;
}

/** Chance of one false "beyond scatter" over all points together. */
const FAMILY_ERROR = 0.05;

/**
 * Holds two runs against each other, b against a: damping forces at equal settings, passes and planned speeds. Both curves are read at the same
 * speed, so that a difference in achieved speed is no difference in force.
 */
export function compareRuns(a: ComparedRun, b: ComparedRun, options: CompareOptions = {}): Comparison {
  const pairs = pairRows(a.table, b.table);
  const pairedForces = forcesOfPairs(a.table, b.table, pairs);
  const testable = pairedForces.filter(({ uncertainty }) => Number.isFinite(uncertainty.U)).length;
  const points = pairedForces.map((pair) => comparedPoint(a.table, pair, FAMILY_ERROR / Math.max(1, testable)));
  const mean = meanRelative(a.table, b.table, pairs);
  const change = buildChange(a, b, mean, options.runToRun);
  return {
    a,
    b,
    points,
    mean,
    onlyA: pairs.onlyA.map((i) => placeOfRow(a.table, i)),
    onlyB: pairs.onlyB.map((i) => placeOfRow(b.table, i)),
    basis: basisDifferenceTexts(a, b),
    specChanges: options.specChanges ?? [],
    ...(change !== undefined && { change }),
    statement: changeStatement({ a, b, points, testable, change }),
  };
}

function placeOfRow(table: ForceTable, index: number): Comparison['onlyA'][number] {
  const row = table.rows[index]!;
  return { setting: settingOfRow(table, row), velocity: row.velocity };
}

/** Keys whose canonical text differs or that only one spec has, by key. */
export function specKeyChanges(
  a: ReadonlyMap<string, string>,
  b: ReadonlyMap<string, string>,
): Comparison['specChanges'] {
  const keys = [...new Set([...a.keys(), ...b.keys()])].sort();
  return keys
    .filter((key) => a.get(key) !== b.get(key))
    .map((key) => ({ key, a: a.get(key) ?? '', b: b.get(key) ?? '' }));
}

/** @param mostP of a point beyond scatter */
function comparedPoint(table: ForceTable, pair: PairedForce, mostP: number): ComparedPoint {
  const { row, side, at, a, b } = pair;
  const { u, U, degreesOfFreedom } = pair.uncertainty;
  const difference = b - a;
  const hardening = SIDE_SIGN[side] * difference;
  return {
    setting: settingOfRow(table, row),
    pass: row.pass,
    side,
    velocity: at,
    a,
    b,
    difference,
    ...(isClearOfZero(a, U) && { relative: difference / Math.abs(a) }),
    uncertainty: U,
    ...(hardening !== 0 && { direction: hardening > 0 ? ('harder' as const) : ('softer' as const) }),
    beyondScatter: twoSidedP(difference === 0 ? 0 : difference / u, degreesOfFreedom) < mostP,
  };
}

function twoSidedP(t: number, df: number): number {
  if (Number.isNaN(t)) return 1;
  if (!Number.isFinite(t)) return 0;
  return studentTwoSidedP(t, Number.isFinite(df) ? df : 1e9);
}

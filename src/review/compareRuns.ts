import { expandUncertainty } from '../analysis/uncertainty/expand';
import { studentTwoSidedP } from '../analysis/statistics/distributions';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import { basisDifferenceTexts } from './comparedBasis';
import { buildChange } from './buildChange';
import { changeStatement } from './changeStatement';
import type { ComparedPoint, ComparedRun, Comparison } from './comparison';
import { dampingAt, isClearOfZero, pairRows } from './pairedRows';
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
  const raw = pairs.both.flatMap(({ rowA, rowB }) =>
    SIDES.flatMap((side) => comparePoint(a.table, rowA, b.table, rowB, side)),
  );
  const testable = raw.filter((p) => Number.isFinite(p.point.uncertainty)).length;
  const points = raw.map(({ point, t, df }): ComparedPoint => ({
    ...point,
    beyondScatter: twoSidedP(t, df) < FAMILY_ERROR / Math.max(1, testable),
  }));
  const mean = meanRelative(points);
  const change = buildChange(a, b, mean, options.runToRun);
  return {
    a,
    b,
    points,
    mean,
    onlyA: pairs.onlyA.map((row) => ({ setting: settingOfRow(a.table, row), velocity: row.velocity })),
    onlyB: pairs.onlyB.map((row) => ({ setting: settingOfRow(b.table, row), velocity: row.velocity })),
    basis: basisDifferenceTexts(a, b),
    specChanges: options.specChanges ?? [],
    ...(change !== undefined && { change }),
    statement: changeStatement({ a, b, points, testable, change }),
  };
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

interface RawPoint {
  readonly point: Omit<ComparedPoint, 'beyondScatter'>;
  /** Difference over its standard uncertainty; NaN where no uncertainty is stated. */
  readonly t: number;
  readonly df: number;
}

function comparePoint(tableA: ForceTable, rowA: ForceRow, tableB: ForceTable, rowB: ForceRow, side: Side): RawPoint[] {
  const at = rowA.velocity === rowB.velocity ? rowA.velocity : (rowA.velocity + rowB.velocity) / 2;
  const forceA = dampingAt(tableA, rowA, side, at);
  const forceB = dampingAt(tableB, rowB, side, at);
  if (forceA === undefined || forceB === undefined) return [];
  const difference = forceB - forceA;
  const u = combined(rowA, rowB, side);
  const hardening = SIDE_SIGN[side] * difference;
  const point = {
    setting: settingOfRow(tableA, rowA),
    pass: rowA.pass,
    side,
    velocity: at,
    a: forceA,
    b: forceB,
    difference,
    ...(isClearOfZero(forceA, u.expanded) && { relative: difference / Math.abs(forceA) }),
    uncertainty: u.expanded,
    ...(hardening !== 0 && { direction: hardening > 0 ? ('harder' as const) : ('softer' as const) }),
  };
  return [{ point, t: difference === 0 ? 0 : difference / u.standard, df: u.df }];
}

interface DifferenceU {
  readonly standard: number;
  readonly expanded: number;
  readonly df: number;
}

/** Of the difference of two independent forces (JCGM 100:2008, 5.1.2 and G.4); NaN where neither side states one. */
function combined(rowA: ForceRow, rowB: ForceRow, side: Side): DifferenceU {
  const parts = [rowA, rowB].flatMap((row) => {
    const U = row.measured?.[`${side}U`];
    const k = row.measured?.[`${side}K`];
    if (U === undefined || k === undefined || !Number.isFinite(U) || !(k > 0)) return [];
    const df = row.measured?.[`${side}Df`];
    return [{ name: 'cycles' as const, u: U / k, df: df === undefined || Number.isNaN(df) ? Infinity : df }];
  });
  if (parts.length === 0) return { standard: NaN, expanded: NaN, df: Infinity };
  const { U, coverageFactor, degreesOfFreedom } = expandUncertainty(parts, true);
  return { standard: U / coverageFactor, expanded: U, df: degreesOfFreedom };
}

function twoSidedP(t: number, df: number): number {
  if (Number.isNaN(t)) return 1;
  if (!Number.isFinite(t)) return 0;
  return studentTwoSidedP(t, Number.isFinite(df) ? df : 1e9);
}

function meanRelative(points: readonly ComparedPoint[]): Comparison['mean'] {
  const mean: Partial<Record<Side, number>> = {};
  for (const side of SIDES) {
    const shares = points.flatMap((p) => (p.side === side && p.relative !== undefined ? [p.relative] : []));
    if (shares.length > 0) mean[side] = shares.reduce((sum, share) => sum + share, 0) / shares.length;
  }
  return mean;
}

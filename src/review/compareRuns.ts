import { expandUncertainty } from '../analysis/uncertainty/expand';
import { studentTwoSidedP } from '../analysis/statistics/distributions';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { basisDifferenceTexts } from './comparedBasis';
import { changeStatement } from './changeStatement';
import type { ComparedPoint, ComparedRun, Comparison } from './comparison';
import { speedMatches } from './plannedVelocity';
import { constantForceOf, curvesOf, settingKey, settingOfRow, speedOfRow } from './referenceCurves';

export interface CompareOptions {
  /** Keys of the spec that differ between both, from `specKeyChanges`. */
  readonly specChanges?: Comparison['specChanges'];
}

/** Chance of one false "beyond scatter" over all points together. */
const FAMILY_ERROR = 0.05;
/** Below this many times its uncertainty a force is too small for a percentage. */
const CLEAR_OF_ZERO = 5;

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
  return {
    a,
    b,
    points,
    mean,
    onlyA: pairs.onlyA.map((row) => ({ setting: settingOfRow(a.table, row), velocity: row.velocity })),
    onlyB: pairs.onlyB.map((row) => ({ setting: settingOfRow(b.table, row), velocity: row.velocity })),
    basis: basisDifferenceTexts(a, b),
    specChanges: options.specChanges ?? [],
    statement: changeStatement(
      points,
      testable,
      [a, b].some((run) => run.table.result?.benchIncluded === true),
    ),
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
  const clear = Math.abs(forceA) > CLEAR_OF_ZERO * (Number.isFinite(u.expanded) ? u.expanded : 0) && forceA !== 0;
  const point = {
    setting: settingOfRow(tableA, rowA),
    pass: rowA.pass,
    side,
    velocity: at,
    a: forceA,
    b: forceB,
    difference,
    ...(clear && { relative: difference / Math.abs(forceA) }),
    uncertainty: u.expanded,
    ...(hardening !== 0 && { direction: hardening > 0 ? ('harder' as const) : ('softer' as const) }),
  };
  return [{ point, t: difference === 0 ? 0 : difference / u.standard, df: u.df }];
}

/**
 * Damping force at the common speed: what the row measured, moved along the slope of its own curve by the small difference between achieved
 * and common speed.
 */
function dampingAt(table: ForceTable, row: ForceRow, side: Side, at: number): number | undefined {
  const gas = constantForceOf(table, row);
  if (gas === undefined || Number.isNaN(row[side])) return undefined;
  const own = row[side] - gas;
  const curves = curvesOf(table).at(settingOfRow(table, row));
  const there = curves.force(side, at);
  const here = curves.force(side, speedOfRow(row, side));
  if (there.kind !== 'known' || here.kind !== 'known') return own;
  return own + there.force.damping - here.force.damping;
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

interface Pairs {
  readonly both: readonly { readonly rowA: ForceRow; readonly rowB: ForceRow }[];
  readonly onlyA: readonly ForceRow[];
  readonly onlyB: readonly ForceRow[];
}

/** Rows of equal setting and pass whose speeds are near enough, each used once, the nearest first. */
function pairRows(a: ForceTable, b: ForceTable): Pairs {
  const free = new Map<string, ForceRow[]>();
  for (const row of b.rows) {
    const key = rowKey(settingOfRow(b, row), row.pass);
    free.set(key, [...(free.get(key) ?? []), row]);
  }
  const both: { rowA: ForceRow; rowB: ForceRow }[] = [];
  const onlyA: ForceRow[] = [];
  for (const rowA of a.rows) {
    const candidates = free.get(rowKey(settingOfRow(a, rowA), rowA.pass)) ?? [];
    const near = candidates.filter((row) => speedMatches(row.velocity, rowA.velocity));
    const rowB = near.reduce<ForceRow | undefined>(
      (best, row) => (best === undefined || distance(row, rowA) < distance(best, rowA) ? row : best),
      undefined,
    );
    if (rowB === undefined) {
      onlyA.push(rowA);
      continue;
    }
    candidates.splice(candidates.indexOf(rowB), 1);
    both.push({ rowA, rowB });
  }
  return { both, onlyA, onlyB: [...free.values()].flat() };
}

function distance(a: ForceRow, b: ForceRow): number {
  return Math.abs(a.velocity - b.velocity);
}

function rowKey(setting: Setting, pass: number): string {
  return `${pass}\n${settingKey(setting)}`;
}

function meanRelative(points: readonly ComparedPoint[]): Comparison['mean'] {
  const mean: Partial<Record<Side, number>> = {};
  for (const side of SIDES) {
    const shares = points.flatMap((p) => (p.side === side && p.relative !== undefined ? [p.relative] : []));
    if (shares.length > 0) mean[side] = shares.reduce((sum, share) => sum + share, 0) / shares.length;
  }
  return mean;
}

import type { Side } from '../../analysis/side';
import { SIDE_SIGN } from '../../analysis/side';
import { mean } from '../../analysis/statistics/quantile';
import type { ForceRow, ForceTable } from '../../files/forceTable';
import { curveOfRows } from '../referenceCurves';
import type { SettingSweep } from './settingSweeps';

/** Magnitudes of damping force of one side over a sweep, at speeds that every position has. */
export interface SideForces {
  /** Rising [m/s]. */
  readonly speeds: readonly number[];
  /** [position][speed] [N], above zero. */
  readonly damping: readonly (readonly number[])[];
  /** Standard uncertainties U/k, [position][speed] [N]; absent where a row states none. */
  readonly u?: readonly (readonly number[])[];
}

/** Speeds this close are one velocity run at several positions; steps of a plan are at least 4 % apart. */
const SAME_SPEED = 0.025;
const SAME_SPEED_ABSOLUTE = 0.001;

/** What a sweep reads of one side at one speed, one value a position. */
interface Column {
  readonly speed: number;
  readonly damping: readonly number[];
  readonly u: readonly number[];
}

/**
 * Damping of one side at the speeds that all positions of a sweep share. Every position's own curve is read at one velocity, the
 * planned one where the rows have one, so that a step run a little fast is not taken for the adjuster's doing. The first run of a repeated setting counts.
 *
 * @param shared `sharedRows` of the side
 * @returns undefined where the positions share no speed, or no constant force is known.
 */
export function sideForces(
  table: ForceTable,
  sweep: SettingSweep,
  side: Side,
  shared: SharedRows,
): SideForces | undefined {
  const curves = sweep.rows.map((rows) => curveOfRows(table, rows, side));
  const columns: Column[] = [];
  for (const rows of shared) {
    const speed = mean(rows.map((row) => row.velocity));
    const damping = curves.map((curve) =>
      curve?.reaches(speed) === true ? SIDE_SIGN[side] * curve.damping(speed) : NaN,
    );
    // Below zero friction or gas rules, and there is no logarithm; such a speed tells nothing of valves.
    if (damping.every((force) => force > 0))
      columns.push({ speed, damping, u: rows.map((row) => standardU(row, side)) });
  }
  if (columns.length === 0) return undefined;
  columns.sort((a, b) => a.speed - b.speed);
  const known = columns.every(({ u }) => u.every(Number.isFinite));
  return {
    speeds: columns.map(({ speed }) => speed),
    damping: sweep.positions.map((_, i) => columns.map(({ damping }) => damping[i]!)),
    ...(known && { u: sweep.positions.map((_, i) => columns.map(({ u }) => u[i]!)) }),
  };
}

/** Both sides as one, for an adjuster that acts on both: mean of the magnitudes, from which the constant force drops out. */
export function bothSides(compression: SideForces, rebound: SideForces): SideForces | undefined {
  const pairs = compression.speeds.flatMap((speed, i) => {
    const k = rebound.speeds.findIndex((other) => isSameSpeed(other, speed));
    return k < 0 ? [] : [{ speed, i, k }];
  });
  if (pairs.length === 0) return undefined;
  const { u: uc } = compression;
  const { u: ur } = rebound;
  return {
    speeds: pairs.map(({ speed }) => speed),
    damping: compression.damping.map((row, p) => pairs.map(({ i, k }) => (row[i]! + rebound.damping[p]![k]!) / 2)),
    ...(uc !== undefined &&
      ur !== undefined && { u: uc.map((row, p) => pairs.map(({ i, k }) => Math.hypot(row[i]!, ur[p]![k]!) / 2)) }),
  };
}

/** For each speed that all positions of a sweep share, the row of each position. */
export type SharedRows = readonly (readonly ForceRow[])[];

export function sharedRows(sweep: SettingSweep, side: Side): SharedRows {
  const usable = sweep.rows.map((rows) => rows.filter((row) => row.pass === 1 && !Number.isNaN(row[side])));
  const shared: (readonly ForceRow[])[] = [];
  for (const { velocity } of usable[0] ?? []) {
    const rows = rowsNear(usable, velocity);
    if (rows !== undefined) shared.push(rows);
  }
  return shared;
}

/** The row of a velocity of each position; undefined where one has none. */
function rowsNear(positions: SharedRows, velocity: number): readonly ForceRow[] | undefined {
  const near: ForceRow[] = [];
  for (const rows of positions) {
    const row = nearestRow(rows, velocity);
    if (row === undefined) return undefined;
    near.push(row);
  }
  return near;
}

/** The row of a velocity, the first of several; undefined where none is near. */
export function nearestRow(rows: readonly ForceRow[], velocity: number): ForceRow | undefined {
  // The planned one itself, as a rule.
  for (const row of rows) if (row.velocity === velocity) return row;
  let best: ForceRow | undefined;
  for (const row of rows)
    if (
      isSameSpeed(row.velocity, velocity) &&
      (best === undefined || Math.abs(row.velocity - velocity) < Math.abs(best.velocity - velocity))
    )
      best = row;
  return best;
}

function isSameSpeed(a: number, b: number): boolean {
  return Math.abs(a - b) <= Math.max(SAME_SPEED * b, SAME_SPEED_ABSOLUTE);
}

function standardU({ measured }: ForceRow, side: Side): number {
  if (measured === undefined) return NaN;
  const k = side === 'compression' ? measured.compressionK : measured.reboundK;
  return k > 0 ? (side === 'compression' ? measured.compressionU : measured.reboundU) / k : NaN;
}

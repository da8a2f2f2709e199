import type { Side } from '../../analysis/side';
import { SIDE_SIGN } from '../../analysis/side';
import { mean } from '../../analysis/statistics/quantile';
import type { ForceRow, ForceTable } from '../../files/forceTable';
import { curvesOf } from '../referenceCurves';
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

/**
 * Damping of one side at the speeds that all positions of a sweep share. Every position's own curve is read at one velocity, the
 * planned one where the rows have one, so that a step run a little fast is not taken for the adjuster's doing. The first run of a repeated setting counts.
 *
 * @returns undefined where the positions share no speed, or no constant force is known.
 */
export function sideForces(table: ForceTable, sweep: SettingSweep, side: Side): SideForces | undefined {
  const curves = curvesOf(table);
  const columns = sharedRows(sweep, side).flatMap((rows) => {
    const speed = mean(rows.map((row) => row.velocity));
    const damping = sweep.settings.map((setting) => {
      const answer = curves.at(setting).force(side, speed);
      return answer.kind === 'known' ? SIDE_SIGN[side] * answer.force.damping : NaN;
    });
    // Below zero friction or gas rules, and there is no logarithm; such a speed tells nothing of valves.
    return damping.every((force) => force > 0) ? [{ speed, damping, u: rows.map((row) => standardU(row, side)) }] : [];
  });
  if (columns.length === 0) return undefined;
  columns.sort((a, b) => a.speed - b.speed);
  const known = columns.every(({ u }) => u.every(Number.isFinite));
  const byPosition = (pick: (column: (typeof columns)[number]) => readonly number[]): number[][] =>
    sweep.positions.map((_, i) => columns.map((column) => pick(column)[i]!));
  return {
    speeds: columns.map(({ speed }) => speed),
    damping: byPosition(({ damping }) => damping),
    ...(known && { u: byPosition(({ u }) => u) }),
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

/** For each speed that all positions share, the row of each position. */
export function sharedRows(sweep: SettingSweep, side: Side): readonly (readonly ForceRow[])[] {
  const usable = sweep.rows.map((rows) => rows.filter((row) => row.pass === 1 && !Number.isNaN(row[side])));
  return (usable[0] ?? []).flatMap((first) => {
    const rows = usable.map((candidates) => nearestRow(candidates, first.velocity));
    return rows.every((row) => row !== undefined) ? [rows] : [];
  });
}

/** The row of a velocity; undefined where none is near. */
export function nearestRow(rows: readonly ForceRow[], velocity: number): ForceRow | undefined {
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
  const k = measured?.[`${side}K`] ?? NaN;
  return k > 0 ? measured![`${side}U`] / k : NaN;
}

import { closureOf, type RepeatedPoint } from '../../analysis/adjusters/closure';
import type { Side } from '../../analysis/side';
import { SIDE_SIGN, SIDES } from '../../analysis/side';
import type { ForceRow, ForceTable } from '../../files/forceTable';
import { constantForceOf, curvesOf, speedOfRow } from '../referenceCurves';
import type { SweepClosure } from './adjusterReview';
import type { SettingSweep } from './settingSweeps';
import { nearestRow } from './sweepForces';

/**
 * Whether the sweep comes back to where it began: a sweep ends by repeating its first setting. Where an end of the range was run again
 * that counts; else any position that was, such as the one that several sweeps of a run pass through. The worst side of the worst such
 * position is told.
 */
export function closureOfSweep(table: ForceTable, sweep: SettingSweep): SweepClosure | undefined {
  const last = sweep.positions.length - 1;
  const repeated = sweep.positions.flatMap((_, i) => (sweep.rows[i]!.some((row) => row.pass > 1) ? [i] : []));
  const ends = repeated.filter((i) => i === 0 || i === last);
  let worst: SweepClosure | undefined;
  for (const i of ends.length > 0 ? ends : repeated)
    for (const side of SIDES) {
      const found = closureOf(repeatedPoints(table, sweep, i, side));
      if (found === undefined) continue;
      const is = { ...found, position: sweep.positions[i]!, side };
      if (worst === undefined || Math.abs(is.share) / is.U > Math.abs(worst.share) / worst.U) worst = is;
    }
  return worst;
}

/** The last run of a position against the curve of its first one, at the speeds of the last. */
function repeatedPoints(table: ForceTable, sweep: SettingSweep, i: number, side: Side): readonly RepeatedPoint[] {
  const rows = sweep.rows[i]!.filter((row) => !Number.isNaN(row[side]));
  const pass = Math.max(...rows.map((row) => row.pass));
  const firsts = rows.filter((row) => row.pass === 1);
  const curve = curvesOf(table).at(sweep.settings[i]!);
  return rows
    .filter((row) => row.pass === pass && pass > 1)
    .flatMap((row) => {
      const before = nearestRow(firsts, row.velocity);
      const gas = constantForceOf(table, row);
      const answer = curve.force(side, speedOfRow(row, side));
      if (before === undefined || gas === undefined || answer.kind !== 'known') return [];
      const point = {
        first: SIDE_SIGN[side] * answer.force.damping,
        second: SIDE_SIGN[side] * (row[side] - gas),
        firstU: uOf(before, side),
        secondU: uOf(row, side),
      };
      return point.first > 0 ? [point] : [];
    });
}

function uOf(row: ForceRow, side: Side): number {
  return row.measured?.[`${side}U`] ?? NaN;
}

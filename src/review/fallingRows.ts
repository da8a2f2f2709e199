import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import { constantForceOf, settingsOfTable, speedOfRow } from './referenceCurves';

/** A fall smaller than this [N, share of force] is scatter of the tests that the reference was adopted from. */
const LEAST_FALL = 3;
const LEAST_FALL_RELATIVE = 0.01;

/** Where the force of a reference falls in magnitude as speed rises: the first such row of a setting and side. */
export interface FallingRow {
  readonly row: ForceRow;
  readonly before: ForceRow;
  readonly side: Side;
  /** [N] */
  readonly fall: number;
}

const found = new WeakMap<ForceTable, readonly FallingRow[]>();

/** Falls of a reference, looked for once for all results that are held against it. First pass only. */
export function fallingRows(table: ForceTable): readonly FallingRow[] {
  let falls = found.get(table);
  if (falls === undefined) found.set(table, (falls = findFalls(table)));
  return falls;
}

function findFalls(table: ForceTable): readonly FallingRow[] {
  return settingsOfTable(table).all.flatMap(({ rows }) =>
    SIDES.flatMap((side) => {
      const sorted = rows
        .filter((row) => row.pass === 1 && !Number.isNaN(row[side]))
        .sort((a, b) => speedOfRow(a, side) - speedOfRow(b, side));
      for (let i = 1; i < sorted.length; i++) {
        const before = sorted[i - 1]!;
        const fall = SIDE_SIGN[side] * (damping(table, before, side) - damping(table, sorted[i]!, side));
        if (fall > Math.max(LEAST_FALL, LEAST_FALL_RELATIVE * Math.abs(damping(table, before, side))))
          return [{ row: sorted[i]!, before, side, fall }];
      }
      return [];
    }),
  );
}

function damping(table: ForceTable, row: ForceRow, side: Side): number {
  return row[side] - (constantForceOf(table, row) ?? 0);
}

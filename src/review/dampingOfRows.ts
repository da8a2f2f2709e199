import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { SettingCurves, SettingRows } from './referenceCurves';
import { constantForceOf, curvesOf, ReferenceCurves, settingsOfTable, speedOfRow } from './referenceCurves';

/**
 * Damping forces of a table at the speeds that its rows were planned for, so that a difference in achieved speed is no difference in force.
 * Kept for a table, as each is held against the build before it and the one after; its curves, which take ten times the room, are not.
 */
export class DampingOfRows {
  private readonly compression: number[] = [];
  private readonly rebound: number[] = [];

  constructor(private readonly table: ForceTable) {
    const { ofRows } = settingsOfTable(table);
    const curves = new ReferenceCurves(table);
    let group: SettingRows | undefined;
    let here: SettingCurves | undefined;
    for (let i = 0; i < table.rows.length; i++) {
      const { velocity } = table.rows[i]!;
      // Rows of one setting stand together, so that its curves are looked up once.
      if (group !== ofRows[i]) here = curves.atKey((group = ofRows[i]!).key);
      this.compression.push(dampingAt(table, here!, i, 'compression', velocity));
      this.rebound.push(dampingAt(table, here!, i, 'rebound', velocity));
    }
  }

  /** @param row index of it. @param at speed [m/s]. @returns as `dampingAt` */
  at(row: number, side: Side, at: number): number {
    const { table } = this;
    if (at === table.rows[row]!.velocity) return (side === 'compression' ? this.compression : this.rebound)[row]!;
    return dampingAt(table, curvesOf(table).atKey(settingsOfTable(table).ofRows[row]!.key), row, side, at);
  }
}

/**
 * What a row measured, moved along the slope of its own curve by the small difference between achieved and asked speed [N]; NaN where it is not
 * known.
 */
function dampingAt(table: ForceTable, curves: SettingCurves, index: number, side: Side, at: number): number {
  const row = table.rows[index]!;
  const gas = constantForceOf(table, row);
  if (gas === undefined || Number.isNaN(row[side])) return NaN;
  const own = row[side] - gas;
  const speed = speedOfRow(row, side);
  if (speed === at) return own;
  const moved = own + curves.damping(side, at) - curves.damping(side, speed);
  return Number.isNaN(moved) ? own : moved;
}

const known = new WeakMap<ForceTable, DampingOfRows>();

export function dampingOfRows(table: ForceTable): DampingOfRows {
  let damping = known.get(table);
  if (damping === undefined) known.set(table, (damping = new DampingOfRows(table)));
  return damping;
}

import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import { DampingCurve } from './dampingCurve';
import type { SettingCurves } from './referenceCurves';
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
    const count = table.rows.length;
    let all: ReferenceCurves | undefined;
    // Rows of one setting stand together as a rule.
    for (let from = 0, to: number; from < count; from = to) {
      const group = ofRows[from]!;
      to = from + 1;
      while (to < count && ofRows[to] === group) to++;
      const isWhole = group.rows.length === to - from;
      for (const side of SIDES) {
        const damping = side === 'compression' ? this.compression : this.rebound;
        if (isWhole && addRising(damping, table, group.rows, side)) continue;
        const curves = (all ??= new ReferenceCurves(table)).atKey(group.key);
        for (let i = from; i < to; i++) damping.push(dampingAt(table, curves, i, side, table.rows[i]!.velocity));
      }
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

/**
 * Adds what `dampingAt` gives at the planned speeds of all rows of a setting, where all of them are points of its curve, one after the other:
 * nearly always, and then the curve is made of them as they come and read once a row.
 *
 * @returns false where they are not, and nothing is added.
 */
function addRising(damping: number[], table: ForceTable, rows: readonly ForceRow[], side: Side): boolean {
  const speeds: number[] = [];
  const forces: number[] = [];
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    const gas = constantForceOf(table, row);
    const speed = speedOfRow(row, side);
    if (gas === undefined || Number.isNaN(row[side]) || row.pass !== 1) return false;
    if (i > 0 && !(speed > speeds[i - 1]!)) return false;
    speeds.push(speed);
    forces.push(row[side] - gas);
  }
  if (rows.length < 2) return false;
  const curve = new DampingCurve(speeds, forces);
  for (let i = 0; i < rows.length; i++) {
    const at = rows[i]!.velocity;
    const own = forces[i]!;
    // At its own speed the curve is the force itself.
    const moved = speeds[i] === at || !curve.reaches(at) ? own : own + curve.damping(at) - own;
    damping.push(Number.isNaN(moved) ? own : moved);
  }
  return true;
}

const known = new WeakMap<ForceTable, DampingOfRows>();

export function dampingOfRows(table: ForceTable): DampingOfRows {
  let damping = known.get(table);
  if (damping === undefined) known.set(table, (damping = new DampingOfRows(table)));
  return damping;
}

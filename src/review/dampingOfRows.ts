import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { ReferenceCurves, SettingCurves, SettingRows } from './referenceCurves';
import { constantForceOf, curvesOf, settingsOfTable, speedOfRow } from './referenceCurves';

/**
 * Damping forces of a table at the speeds that its rows were planned for, so that a difference in achieved speed is no difference in force.
 * Kept for a table, as each is held against the build before it and the one after.
 */
export class DampingOfRows {
  private readonly compression: number[] = [];
  private readonly rebound: number[] = [];

  private readonly curves: ReferenceCurves;
  private readonly groups: readonly SettingRows[];
  /** Rows of one setting stand together, so that its curves are looked up once. */
  private group: SettingRows | undefined = undefined;
  private ofGroup: SettingCurves | undefined = undefined;

  constructor(private readonly table: ForceTable) {
    this.curves = curvesOf(table);
    this.groups = settingsOfTable(table).ofRows;
    for (let i = 0; i < table.rows.length; i++) {
      this.compression.push(this.read(i, 'compression', table.rows[i]!.velocity));
      this.rebound.push(this.read(i, 'rebound', table.rows[i]!.velocity));
    }
  }

  /**
   * What the row measured, moved along the slope of its own curve by the small difference between achieved and asked speed [N]; NaN where it
   * is not known.
   *
   * @param at [m/s]
   */
  at(row: number, side: Side, at: number): number {
    if (at !== this.table.rows[row]!.velocity) return this.read(row, side, at);
    return (side === 'compression' ? this.compression : this.rebound)[row]!;
  }

  private read(index: number, side: Side, at: number): number {
    const { table } = this;
    const row = table.rows[index]!;
    const gas = constantForceOf(table, row);
    if (gas === undefined || Number.isNaN(row[side])) return NaN;
    const own = row[side] - gas;
    const speed = speedOfRow(row, side);
    if (speed === at) return own;
    const curves = this.curvesOfRow(index);
    const moved = own + curves.damping(side, at) - curves.damping(side, speed);
    return Number.isNaN(moved) ? own : moved;
  }

  private curvesOfRow(index: number): SettingCurves {
    const group = this.groups[index]!;
    if (group === this.group) return this.ofGroup!;
    this.group = group;
    return (this.ofGroup = this.curves.atKey(group.key));
  }
}

const known = new WeakMap<ForceTable, DampingOfRows>();

export function dampingOfRows(table: ForceTable): DampingOfRows {
  let damping = known.get(table);
  if (damping === undefined) known.set(table, (damping = new DampingOfRows(table)));
  return damping;
}

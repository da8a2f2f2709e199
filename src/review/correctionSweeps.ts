import type { NeedleCurve } from '../analysis/corrections/needleCurve';
import { needleCurve } from '../analysis/corrections/needleCurve';
import { smoothSweep } from '../analysis/corrections/smoothSweep';
import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import { copyOfRow } from '../files/forceRow';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import type { SettingCurves } from './referenceCurves';
import { constantForceOf, curvesOf, settingKey, settingOfRow } from './referenceCurves';

/** One adjuster moved with all others held, as some table has it. */
interface SweptAdjuster {
  /** Its rows alone, scatter taken out. */
  readonly table: ForceTable;
  readonly source: ForceTable;
  readonly others: Setting;
  /** Rising. */
  readonly positions: readonly number[];
}

/** Sweeps of every adjuster in a reference, and in results where the reference has none. */
export class CorrectionSweeps {
  readonly #byAdjuster = new Map<string, SweptAdjuster[]>();
  readonly #alongSweep = new Map<SweptAdjuster, readonly SettingCurves[]>();

  /** @param tables the reference first: it wins where it holds a sweep. */
  constructor(tables: readonly ForceTable[]) {
    for (const table of tables) {
      const settings = rowsBySetting(table);
      for (const { id } of table.adjusters) {
        if (this.#byAdjuster.has(id) && table !== tables[0] && this.#byAdjuster.get(id)![0]!.source === tables[0])
          continue;
        const found = sweptBy(table, settings, id);
        if (found.length > 0) this.#byAdjuster.set(id, [...(this.#byAdjuster.get(id) ?? []), ...found]);
      }
    }
  }

  has(id: string): boolean {
    return this.#byAdjuster.has(id);
  }

  /** Positions of an adjuster that any sweep holds, rising. */
  positions(id: string): readonly number[] {
    const all = (this.#byAdjuster.get(id) ?? []).flatMap(({ positions }) => positions);
    return [...new Set(all)].sort((a, b) => a - b);
  }

  /** What the adjuster does at a setting, side and speed; from the sweep whose other adjusters stand nearest. */
  curve(id: string, setting: Setting, side: Side, speed: number): NeedleCurve | undefined {
    const set = setting[id];
    if (set === undefined) return undefined;
    for (const sweep of this.#nearest(id, setting)) {
      const curves = this.#curvesAlong(sweep, id);
      const positions: number[] = [];
      const forces: number[] = [];
      for (let i = 0; i < curves.length; i++) {
        const damping = curves[i]!.damping(side, speed);
        if (Number.isNaN(damping)) continue;
        positions.push(sweep.positions[i]!);
        forces.push(damping);
      }
      const curve = needleCurve(positions, forces, set);
      if (curve !== undefined) return curve;
    }
    return undefined;
  }

  /** Sweeps of an adjuster, those first whose other adjusters stand nearest to a setting. */
  #nearest(id: string, setting: Setting): readonly SweptAdjuster[] {
    const all = this.#byAdjuster.get(id) ?? [];
    if (all.length < 2) return all;
    return [...all].sort((a, b) => distance(a.others, setting) - distance(b.others, setting));
  }

  /** One a position of the sweep. */
  #curvesAlong(sweep: SweptAdjuster, id: string): readonly SettingCurves[] {
    const known = this.#alongSweep.get(sweep);
    if (known !== undefined) return known;
    const table = curvesOf(sweep.table);
    const curves = sweep.positions.map((position) => table.at({ ...sweep.others, [id]: position }));
    this.#alongSweep.set(sweep, curves);
    return curves;
  }
}

interface SettingRows {
  readonly setting: Setting;
  /** First pass, by rising velocity. */
  readonly rows: readonly ForceRow[];
}

function rowsBySetting(table: ForceTable): readonly SettingRows[] {
  const groups = new Map<string, { setting: Setting; rows: ForceRow[] }>();
  for (const row of table.rows) {
    if (row.pass !== 1) continue;
    const setting = settingOfRow(table, row);
    const key = settingKey(setting);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { setting, rows: [row] });
    else group.rows.push(row);
  }
  return [...groups.values()].map(({ setting, rows }) => ({
    setting,
    rows: rows.sort((a, b) => a.velocity - b.velocity),
  }));
}

function sweptBy(table: ForceTable, settings: readonly SettingRows[], id: string): SweptAdjuster[] {
  const groups = new Map<string, { others: Setting; members: SettingRows[] }>();
  for (const member of settings) {
    if (member.setting[id] === undefined) continue;
    const others = Object.fromEntries(Object.entries(member.setting).filter(([other]) => other !== id));
    const key = settingKey(others);
    const group = groups.get(key) ?? { others, members: [] };
    group.members.push(member);
    groups.set(key, group);
  }
  return [...groups.values()]
    .filter(({ members }) => members.length > 1)
    .map(({ others, members }) => {
      const rising = members.sort((a, b) => a.setting[id]! - b.setting[id]!);
      return {
        table: { ...table, rows: smoothedRows(table, rising) },
        source: table,
        others,
        positions: rising.map(({ setting }) => setting[id]!),
      };
    });
}

/** The rows of a sweep with their forces smoothed over positions and speeds, each side for itself, where every setting has the same speeds. */
function smoothedRows(table: ForceTable, sweep: readonly SettingRows[]): readonly ForceRow[] {
  const speedsOf = ({ rows }: SettingRows): string => rows.map(({ velocity }) => velocity).join(' ');
  const speeds = speedsOf(sweep[0]!);
  let groups = sweep.map(({ rows }) => rows);
  if (sweep.some((member) => speedsOf(member) !== speeds)) return groups.flat();
  for (const side of SIDES) {
    const damping = groups.map((group) => group.map((row) => row[side] - (constantForceOf(table, row) ?? NaN)));
    const smooth = smoothSweep(damping);
    groups = groups.map((group, i) =>
      group.map((row, k) => ({ ...copyOfRow(row), [side]: row[side] + smooth[i]![k]! - damping[i]![k]! })),
    );
  }
  return groups.flat();
}

function distance(others: Setting, setting: Setting): number {
  return Object.entries(others).reduce(
    (sum, [id, position]) => sum + Math.abs(position - (setting[id] ?? position)),
    0,
  );
}

const known = new WeakMap<ForceTable, CorrectionSweeps>();

/** Sweeps of a reference, found once for all results that are held against it. */
export function sweepsOf(reference: ForceTable, more: readonly ForceTable[]): CorrectionSweeps {
  if (more.length > 0) return new CorrectionSweeps([reference, ...more]);
  const found = known.get(reference) ?? new CorrectionSweeps([reference]);
  known.set(reference, found);
  return found;
}

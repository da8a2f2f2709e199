import type { ForceRow, ForceTable } from '../../files/forceTable';
import type { Setting } from '../../files/spec';
import { settingsOfTable, type SettingRows } from '../referenceCurves';

/** Rows of a table in which one adjuster moves and all others are held. */
export interface SettingSweep {
  readonly id: string;
  readonly unit: string;
  /** Where the other adjusters stand. */
  readonly held: Setting;
  /** Rising, in the adjuster's own count. */
  readonly positions: readonly number[];
  /** Full setting and rows of each position. */
  readonly settings: readonly Setting[];
  readonly rows: readonly (readonly ForceRow[])[];
}

/** Two positions make one step, which nothing can be held against. */
const FEWEST_POSITIONS = 3;

/**
 * Every sweep that a table holds: several adjusters in one run, or one adjuster with the others held at several places. In the order of
 * the table's adjusters; of one adjuster the sweep with most positions first.
 */
export function settingSweeps(table: ForceTable): readonly SettingSweep[] {
  const { all } = settingsOfTable(table);
  // A delivery test holds a setting or two.
  if (all.length < FEWEST_POSITIONS) return [];
  const settings = all.filter(({ rows }) => isStated(vectorOf(rows), table.adjusters.length));
  return table.adjusters.flatMap((_, column) => sweepsOf(table, column, settings));
}

function sweepsOf(table: ForceTable, column: number, settings: readonly SettingRows[]): SettingSweep[] {
  const groups = new Map<string, SettingRows[]>();
  for (const setting of settings) {
    const others = vectorOf(setting.rows)
      .filter((_, i) => i !== column)
      .join(' ');
    const group = groups.get(others);
    if (group === undefined) groups.set(others, [setting]);
    else group.push(setting);
  }
  const { id, unit } = table.adjusters[column]!;
  return [...groups.values()]
    .filter((group) => group.length >= FEWEST_POSITIONS)
    .sort((a, b) => b.length - a.length)
    .map((group) => {
      const at = ({ rows }: SettingRows): number => vectorOf(rows)[column]!;
      const sorted = [...group].sort((a, b) => at(a) - at(b));
      return {
        id,
        unit,
        held: Object.fromEntries(Object.entries(sorted[0]!.setting).filter(([name]) => name !== id)),
        positions: sorted.map(at),
        settings: sorted.map(({ setting }) => setting),
        rows: sorted.map(({ rows }) => rows),
      };
    });
}

/** Position of each adjuster, in the order of the table's columns; rows of one setting share it. */
function vectorOf(rows: readonly ForceRow[]): readonly number[] {
  return rows[0]!.setting;
}

function isStated(vector: readonly number[], adjusters: number): boolean {
  return vector.length >= adjusters && !vector.some(Number.isNaN);
}

import type { ForceRow, ForceTable } from '../../files/forceTable';
import type { Setting } from '../../files/spec';
import { settingOfRow, settingsOfTable } from '../referenceCurves';

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
  // A result holds a few settings and no sweep as a rule.
  if (settingsOfTable(table).all.length < FEWEST_POSITIONS) return [];
  const settings = rowsBySetting(table);
  return table.adjusters.flatMap((_, column) => sweepsOf(table, column, settings));
}

interface SettingRows {
  readonly vector: readonly number[];
  readonly rows: readonly ForceRow[];
}

function sweepsOf(table: ForceTable, column: number, settings: readonly SettingRows[]): SettingSweep[] {
  const groups = new Map<string, SettingRows[]>();
  for (const setting of settings) {
    const others = setting.vector.filter((_, i) => i !== column).join(' ');
    const group = groups.get(others);
    if (group === undefined) groups.set(others, [setting]);
    else group.push(setting);
  }
  const { id, unit } = table.adjusters[column]!;
  return [...groups.values()]
    .filter((group) => group.length >= FEWEST_POSITIONS)
    .sort((a, b) => b.length - a.length)
    .map((group) => {
      const sorted = [...group].sort((a, b) => a.vector[column]! - b.vector[column]!);
      const full = sorted.map(({ rows }) => settingOfRow(table, rows[0]!));
      return {
        id,
        unit,
        held: Object.fromEntries(Object.entries(full[0]!).filter(([name]) => name !== id)),
        positions: sorted.map(({ vector }) => vector[column]!),
        settings: full,
        rows: sorted.map(({ rows }) => rows),
      };
    });
}

/** Settings whose every position is stated. */
function rowsBySetting(table: ForceTable): readonly SettingRows[] {
  const groups = new Map<string, { vector: readonly number[]; rows: ForceRow[] }>();
  for (const row of table.rows) {
    if (row.setting.length < table.adjusters.length || row.setting.some(Number.isNaN)) continue;
    const key = row.setting.join(' ');
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { vector: row.setting, rows: [row] });
    else group.rows.push(row);
  }
  return [...groups.values()];
}

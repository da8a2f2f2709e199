import { SIDES, type Side } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { compareRuns } from './compareRuns';
import type { ComparedRun } from './comparison';
import { constantForceOf, settingKey, settingOfRow } from './referenceCurves';

/** Damping force of one side before and after [N]; absent where the row, or its constant force, is. */
export interface ForceChange {
  readonly before?: number;
  readonly after?: number;
  readonly drift?: number;
  /** Fraction of |before|, harder positive. */
  readonly harder?: number;
  readonly beyondScatter: boolean;
}

export interface RowChange {
  readonly setting: Setting;
  /** [m/s] */
  readonly velocity: number;
  readonly pass: number;
  readonly sides: Readonly<Partial<Record<Side, ForceChange>>>;
  readonly change: 'added' | 'removed' | 'changed' | 'same';
}

/** The rows of two states of one file side by side, by setting, speed and pass; the numbers are those of a comparison. */
export function tableChanges(before: ForceTable | undefined, after: ForceTable | undefined): readonly RowChange[] {
  if (before === undefined || after === undefined)
    return [...onlyRows(before, 'removed'), ...onlyRows(after, 'added')].sort(byPlace);
  const { points, onlyA, onlyB } = compareRuns(sideOf(before), sideOf(after));
  const rows = new Map<string, RowChange>();
  for (const { setting, velocity, pass, side, a, b, difference, relative, direction, beyondScatter } of points) {
    const key = `${settingKey(setting)}\n${velocity}\n${pass}`;
    const row = rows.get(key) ?? { setting, velocity, pass, sides: {}, change: 'same' };
    const force: ForceChange = {
      before: a,
      after: b,
      drift: difference,
      ...(relative !== undefined && { harder: Math.abs(relative) * (direction === 'softer' ? -1 : 1) }),
      beyondScatter,
    };
    const change = row.change === 'changed' || Math.abs(difference) > LEAST_CHANGE ? 'changed' : 'same';
    rows.set(key, { ...row, sides: { ...row.sides, [side]: force }, change });
  }
  const has = (list: typeof onlyA) => (row: RowChange) =>
    list.some(({ setting, velocity }) => velocity === row.velocity && settingKey(setting) === settingKey(row.setting));
  return [
    ...rows.values(),
    ...onlyRows(before, 'removed').filter(has(onlyA)),
    ...onlyRows(after, 'added').filter(has(onlyB)),
  ].sort(byPlace);
}

/** Half of what files are rounded to [N]. */
const LEAST_CHANGE = 0.05;

function sideOf(table: ForceTable): ComparedRun {
  const { serial = '', build = '' } = table.result ?? {};
  return { label: table.file, file: table.file, serial, build, specId: table.spec, table };
}

function onlyRows(table: ForceTable | undefined, change: 'added' | 'removed'): RowChange[] {
  if (table === undefined) return [];
  const key = change === 'added' ? 'after' : 'before';
  return table.rows.map((row) => ({
    setting: settingOfRow(table, row),
    velocity: row.velocity,
    pass: row.pass,
    change,
    sides: Object.fromEntries(
      SIDES.flatMap((side) => {
        const force = dampingOf(table, row, side);
        return force === undefined ? [] : [[side, { [key]: force, beyondScatter: false }]];
      }),
    ),
  }));
}

function dampingOf(table: ForceTable, row: ForceRow, side: Side): number | undefined {
  const gas = constantForceOf(table, row);
  return gas === undefined || Number.isNaN(row[side]) ? undefined : row[side] - gas;
}

function byPlace(a: RowChange, b: RowChange): number {
  const [one, other] = [Object.entries(a.setting), Object.entries(b.setting)];
  for (const [i, [, position]] of one.entries()) {
    const difference = position - (other[i]?.[1] ?? 0);
    if (difference !== 0) return difference;
  }
  return a.velocity - b.velocity || a.pass - b.pass;
}

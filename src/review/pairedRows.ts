import type { Side } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import { speedMatches } from './plannedVelocity';
import type { SettingCurves } from './referenceCurves';
import { constantForceOf, settingsOfTable, speedOfRow } from './referenceCurves';

/** Below this many times its uncertainty a force is too small for a percentage. */
const CLEAR_OF_ZERO = 5;

/** @param U expanded uncertainty [N]; NaN where none is stated */
export function isClearOfZero(force: number, U: number): boolean {
  return Math.abs(force) > CLEAR_OF_ZERO * (Number.isFinite(U) ? U : 0) && force !== 0;
}

/**
 * Damping force at the common speed: what the row measured, moved along the slope of its own curve by the small difference between achieved
 * and common speed. NaN where it is not known.
 *
 * @param curves of the table at the row's setting
 */
export function dampingAt(table: ForceTable, curves: SettingCurves, row: ForceRow, side: Side, at: number): number {
  const gas = constantForceOf(table, row);
  if (gas === undefined || Number.isNaN(row[side])) return NaN;
  const own = row[side] - gas;
  const speed = speedOfRow(row, side);
  if (speed === at) return own;
  const moved = own + curves.damping(side, at) - curves.damping(side, speed);
  return Number.isNaN(moved) ? own : moved;
}

export interface PairedRow {
  readonly rowA: ForceRow;
  readonly rowB: ForceRow;
  /** `settingKey` of both. */
  readonly setting: string;
}

export interface PairedRows {
  readonly both: readonly PairedRow[];
  readonly onlyA: readonly ForceRow[];
  readonly onlyB: readonly ForceRow[];
}

/** Rows of equal setting and pass whose speeds are near enough, each used once, the nearest first. */
export function pairRows(a: ForceTable, b: ForceTable): PairedRows {
  const free = rowsOfPasses(b);
  const both: PairedRow[] = [];
  const onlyA: ForceRow[] = [];
  const settings = settingsOfTable(a).ofRows;
  let candidates: ForceRow[] = [];
  a.rows.forEach((rowA, i) => {
    const setting = settings[i]!.key;
    // Rows of one setting and pass stand together as a rule, so that their name is made once.
    if (i === 0 || settings[i - 1] !== settings[i] || a.rows[i - 1]!.pass !== rowA.pass)
      candidates = free.get(passKey(setting, rowA.pass)) ?? [];
    const nearest = nearestOf(candidates, rowA.velocity);
    if (nearest === undefined) {
      onlyA.push(rowA);
      return;
    }
    both.push({ rowA, rowB: candidates[nearest]!, setting });
    candidates.splice(nearest, 1);
  });
  return { both, onlyA, onlyB: [...free.values()].flat() };
}

/** Index of the row nearest in speed among those that may stand for it, the first of equals. */
function nearestOf(rows: readonly ForceRow[], velocity: number): number | undefined {
  let best: number | undefined;
  let least = Infinity;
  for (let i = 0; i < rows.length; i++) {
    const distance = Math.abs(rows[i]!.velocity - velocity);
    if (distance === 0) return i;
    if (!(distance < least) || !speedMatches(rows[i]!.velocity, velocity)) continue;
    best = i;
    least = distance;
  }
  return best;
}

function rowsOfPasses(table: ForceTable): Map<string, ForceRow[]> {
  const groups = new Map<string, ForceRow[]>();
  const settings = settingsOfTable(table).ofRows;
  let group: ForceRow[] = [];
  table.rows.forEach((row, i) => {
    if (i === 0 || settings[i - 1] !== settings[i] || table.rows[i - 1]!.pass !== row.pass) {
      const key = passKey(settings[i]!.key, row.pass);
      group = groups.get(key) ?? [];
      groups.set(key, group);
    }
    group.push(row);
  });
  return groups;
}

function passKey(setting: string, pass: number): string {
  return `${pass}\n${setting}`;
}

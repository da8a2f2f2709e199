import type { Side } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { speedMatches } from './plannedVelocity';
import { constantForceOf, curvesOf, settingKey, settingOfRow, speedOfRow } from './referenceCurves';

/** Below this many times its uncertainty a force is too small for a percentage. */
const CLEAR_OF_ZERO = 5;

/** @param U expanded uncertainty [N]; NaN where none is stated */
export function isClearOfZero(force: number, U: number): boolean {
  return Math.abs(force) > CLEAR_OF_ZERO * (Number.isFinite(U) ? U : 0) && force !== 0;
}

/**
 * Damping force at the common speed: what the row measured, moved along the slope of its own curve by the small difference between achieved
 * and common speed.
 */
export function dampingAt(table: ForceTable, row: ForceRow, side: Side, at: number): number | undefined {
  const gas = constantForceOf(table, row);
  if (gas === undefined || Number.isNaN(row[side])) return undefined;
  const own = row[side] - gas;
  if (speedOfRow(row, side) === at) return own;
  const curves = curvesOf(table).at(settingOfRow(table, row));
  const there = curves.force(side, at);
  const here = curves.force(side, speedOfRow(row, side));
  if (there.kind !== 'known' || here.kind !== 'known') return own;
  return own + there.force.damping - here.force.damping;
}

export interface PairedRows {
  readonly both: readonly { readonly rowA: ForceRow; readonly rowB: ForceRow }[];
  readonly onlyA: readonly ForceRow[];
  readonly onlyB: readonly ForceRow[];
}

/** Rows of equal setting and pass whose speeds are near enough, each used once, the nearest first. */
export function pairRows(a: ForceTable, b: ForceTable): PairedRows {
  const free = new Map<string, ForceRow[]>();
  for (const row of b.rows) {
    const key = rowKey(settingOfRow(b, row), row.pass);
    free.set(key, [...(free.get(key) ?? []), row]);
  }
  const both: { rowA: ForceRow; rowB: ForceRow }[] = [];
  const onlyA: ForceRow[] = [];
  for (const rowA of a.rows) {
    const candidates = free.get(rowKey(settingOfRow(a, rowA), rowA.pass)) ?? [];
    const near = candidates.filter((row) => speedMatches(row.velocity, rowA.velocity));
    const rowB = near.reduce<ForceRow | undefined>(
      (best, row) => (best === undefined || distance(row, rowA) < distance(best, rowA) ? row : best),
      undefined,
    );
    if (rowB === undefined) {
      onlyA.push(rowA);
      continue;
    }
    candidates.splice(candidates.indexOf(rowB), 1);
    both.push({ rowA, rowB });
  }
  return { both, onlyA, onlyB: [...free.values()].flat() };
}

function distance(a: ForceRow, b: ForceRow): number {
  return Math.abs(a.velocity - b.velocity);
}

function rowKey(setting: Setting, pass: number): string {
  return `${pass}\n${settingKey(setting)}`;
}

import { SIDE_SIGN, SIDES, type Side } from '../../analysis/side';
import type { ForceRow, ForceTable } from '../../files/forceTable';
import type { Setting, Tolerances } from '../../files/spec';
import { zoneOf } from '../weighing';
import { speedMatches } from '../plannedVelocity';
import { constantForceOf, settingKey, settingOfRow } from '../referenceCurves';

/** One point of a reference that moved. Damping forces in N where both constant forces are known, else the load cell's. */
export interface RowMove {
  readonly setting: Setting;
  /** [m/s] */
  readonly velocity: number;
  readonly side: Side;
  readonly before: number;
  readonly after: number;
  /** |after - before| over the tolerance that held before, on the side of the move; absent where there was none. */
  readonly share?: number;
  readonly direction: 'harder' | 'softer';
  /** Line of the row in the later file. */
  readonly line: number;
}

/** What became of the curves that a spec is judged by. */
export interface ReferenceMove {
  /** Points of both, the furthest moved first. */
  readonly moved: readonly RowMove[];
  /** Count of points that both have. */
  readonly points: number;
  readonly removed: readonly { readonly setting: Setting; readonly velocity: number }[];
  readonly added: readonly { readonly setting: Setting; readonly velocity: number }[];
  /** Keys of the basis of comparison that differ, in words. */
  readonly basis: readonly string[];
}

/** Less than a file's own rounding is no move [N]. */
const LEAST_MOVE = 0.01;

/** Holds the later curves of a spec against the earlier ones, row by row. @param tolerances those of the earlier spec */
export function referenceMove(before: ForceTable, after: ForceTable, tolerances: Tolerances): ReferenceMove {
  const left = [...after.rows];
  const moved: RowMove[] = [];
  const removed: { setting: Setting; velocity: number }[] = [];
  let points = 0;
  for (const row of before.rows) {
    const other = nearestRow(before, row, after, left);
    if (other === undefined) {
      removed.push({ setting: settingOfRow(before, row), velocity: row.velocity });
      continue;
    }
    left.splice(left.indexOf(other), 1);
    for (const side of SIDES) {
      const [a, b] = dampingOfBoth(before, row, after, other, side);
      if (Number.isNaN(a) && Number.isNaN(b)) continue;
      points += 1;
      if (!(Math.abs(b - a) <= LEAST_MOVE)) moved.push(rowMove(before, row, other, side, a, b, tolerances));
    }
  }
  return {
    moved: moved.sort(
      (a, b) => (b.share ?? 0) - (a.share ?? 0) || Math.abs(b.after - b.before) - Math.abs(a.after - a.before),
    ),
    points,
    removed,
    added: left.map((row) => ({ setting: settingOfRow(after, row), velocity: row.velocity })),
    basis: basisMoves(before, after),
  };
}

export function isMoved({ moved, removed, added, basis }: ReferenceMove): boolean {
  return moved.length + removed.length + added.length + basis.length > 0;
}

function nearestRow(
  before: ForceTable,
  row: ForceRow,
  after: ForceTable,
  left: readonly ForceRow[],
): ForceRow | undefined {
  const distance = (other: ForceRow): number => Math.abs(other.velocity - row.velocity);
  return left
    .filter((other) => sameRow(before, row, after, other))
    .reduce<ForceRow | undefined>(
      (best, other) => (best && distance(best) <= distance(other) ? best : other),
      undefined,
    );
}

function sameRow(a: ForceTable, rowA: ForceRow, b: ForceTable, rowB: ForceRow): boolean {
  return (
    rowA.pass === rowB.pass &&
    speedMatches(rowB.velocity, rowA.velocity) &&
    settingKey(settingOfRow(a, rowA)) === settingKey(settingOfRow(b, rowB))
  );
}

function dampingOfBoth(a: ForceTable, rowA: ForceRow, b: ForceTable, rowB: ForceRow, side: Side): [number, number] {
  const [gasA, gasB] = [constantForceOf(a, rowA), constantForceOf(b, rowB)];
  return gasA === undefined || gasB === undefined ? [rowA[side], rowB[side]] : [rowA[side] - gasA, rowB[side] - gasB];
}

function rowMove(
  table: ForceTable,
  row: ForceRow,
  now: ForceRow,
  side: Side,
  before: number,
  after: number,
  tolerances: Tolerances,
): RowMove {
  const direction = SIDE_SIGN[side] * (after - before) > 0 ? 'harder' : 'softer';
  const tolerance = zoneOf(tolerances[side], before)[direction];
  const share = tolerance === undefined ? NaN : Math.abs(after - before) / tolerance;
  return {
    setting: settingOfRow(table, row),
    velocity: row.velocity,
    side,
    before,
    after,
    ...(Number.isFinite(share) && { share }),
    direction,
    line: now.line,
  };
}

function basisMoves(before: ForceTable, after: ForceTable): readonly string[] {
  const keys = ['drive', 'stroke', 'midPosition', 'forceZero', 'temperatureAt'] as const;
  return keys.filter((key) => before.basis[key] !== after.basis[key]);
}

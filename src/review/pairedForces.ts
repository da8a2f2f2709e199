import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import { expandTwo, type ExpandedPair } from '../analysis/uncertainty/expand';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Comparison } from './comparison';
import { dampingAt, isClearOfZero, type PairedRow, type PairedRows } from './pairedRows';
import { curvesOf } from './referenceCurves';

/** Damping forces [N] of two tables at one setting, pass and speed. */
export interface PairedForce {
  /** Of the first table. */
  readonly row: ForceRow;
  readonly side: Side;
  /** Common speed [m/s]. */
  readonly at: number;
  readonly a: number;
  readonly b: number;
  /** Of the difference, NaN where neither states one. */
  readonly uncertainty: ExpandedPair;
}

/** Both sides of every pair whose damping forces are known, compression first; both curves are read at the same speed. */
export function forcesOfPairs(tableA: ForceTable, tableB: ForceTable, { both }: PairedRows): readonly PairedForce[] {
  return both.flatMap((pair) =>
    SIDES.flatMap((side) => {
      const at = commonSpeed(pair);
      const a = dampingAt(tableA, curvesOf(tableA).atKey(pair.setting), pair.rowA, side, at);
      const b = dampingAt(tableB, curvesOf(tableB).atKey(pair.setting), pair.rowB, side, at);
      if (Number.isNaN(a) || Number.isNaN(b)) return [];
      return [{ row: pair.rowA, side, at, a, b, uncertainty: uncertaintyOfDifference(pair, side) }];
    }),
  );
}

/**
 * Mean relative difference of each side over the points whose force is large enough for a percentage. Works without the points, as it is
 * all that the change since the build before needs of every result.
 */
export function meanRelative(tableA: ForceTable, tableB: ForceTable, { both }: PairedRows): Comparison['mean'] {
  const curvesA = curvesOf(tableA);
  const curvesB = curvesOf(tableB);
  const mean: Partial<Record<Side, number>> = {};
  for (const side of SIDES) {
    let sum = 0;
    let count = 0;
    for (const pair of both) {
      const at = commonSpeed(pair);
      const a = dampingAt(tableA, curvesA.atKey(pair.setting), pair.rowA, side, at);
      const b = dampingAt(tableB, curvesB.atKey(pair.setting), pair.rowB, side, at);
      if (Number.isNaN(a) || Number.isNaN(b) || !isClearOfZero(a, uncertaintyOfDifference(pair, side).U)) continue;
      sum += (b - a) / Math.abs(a);
      count += 1;
    }
    if (count > 0) mean[side] = sum / count;
  }
  return mean;
}

function commonSpeed({ rowA, rowB }: PairedRow): number {
  return rowA.velocity === rowB.velocity ? rowA.velocity : (rowA.velocity + rowB.velocity) / 2;
}

const NOT_STATED: ExpandedPair = { u: NaN, U: NaN, coverageFactor: NaN, degreesOfFreedom: Infinity };

/** Of the difference of two independent forces (JCGM 100:2008, 5.1.2 and G.4); a row that states none adds nothing. */
function uncertaintyOfDifference({ rowA, rowB }: PairedRow, side: Side): ExpandedPair {
  const a = standardU(rowA, side);
  const b = standardU(rowB, side);
  if (Number.isNaN(a) && Number.isNaN(b)) return NOT_STATED;
  return expandTwo(Number.isNaN(a) ? 0 : a, freedomOf(rowA, side), Number.isNaN(b) ? 0 : b, freedomOf(rowB, side));
}

/** What a row states [N]; NaN where it states none. */
function standardU({ measured }: ForceRow, side: Side): number {
  if (measured === undefined) return NaN;
  const U = side === 'compression' ? measured.compressionU : measured.reboundU;
  const k = side === 'compression' ? measured.compressionK : measured.reboundK;
  return Number.isFinite(U) && k > 0 ? U / k : NaN;
}

function freedomOf({ measured }: ForceRow, side: Side): number {
  const df = side === 'compression' ? measured?.compressionDf : measured?.reboundDf;
  return df === undefined || Number.isNaN(df) ? Infinity : df;
}

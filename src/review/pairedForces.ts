import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import {
  coverageFactorOf,
  expandTwo,
  freedomOfTwo,
  rootOfTwo,
  type ExpandedPair,
} from '../analysis/uncertainty/expand';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Comparison } from './comparison';
import { dampingOfRows } from './dampingOfRows';
import { isClearOfZero, type PairedRows } from './pairedRows';

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
export function forcesOfPairs(tableA: ForceTable, tableB: ForceTable, pairs: PairedRows): readonly PairedForce[] {
  const found: PairedForce[] = [];
  const [ofA, ofB] = [dampingOfRows(tableA), dampingOfRows(tableB)];
  pairs.a.forEach((i, k) => {
    const j = pairs.b[k]!;
    const [row, other] = [tableA.rows[i]!, tableB.rows[j]!];
    const at = commonSpeed(row, other);
    for (const side of SIDES) {
      const a = ofA.at(i, side, at);
      const b = ofB.at(j, side, at);
      if (Number.isNaN(a) || Number.isNaN(b)) continue;
      found.push({ row, side, at, a, b, uncertainty: uncertaintyOfDifference(row, other, side) });
    }
  });
  return found;
}

/**
 * Mean relative difference of each side over the points whose force is large enough for a percentage. Works without the points, as it is
 * all that the change since the build before needs of every result.
 */
export function meanRelative(tableA: ForceTable, tableB: ForceTable, pairs: PairedRows): Comparison['mean'] {
  const compression = meanOfSide(tableA, tableB, pairs, 'compression');
  const rebound = meanOfSide(tableA, tableB, pairs, 'rebound');
  if (Number.isNaN(compression)) return Number.isNaN(rebound) ? {} : { rebound };
  return Number.isNaN(rebound) ? { compression } : { compression, rebound };
}

/** NaN without a point. */
function meanOfSide(tableA: ForceTable, tableB: ForceTable, pairs: PairedRows, side: Side): number {
  const ofA = dampingOfRows(tableA);
  const ofB = dampingOfRows(tableB);
  let sum = 0;
  let count = 0;
  for (let k = 0; k < pairs.a.length; k++) {
    const i = pairs.a[k]!;
    const j = pairs.b[k]!;
    const rowA = tableA.rows[i]!;
    const rowB = tableB.rows[j]!;
    const at = commonSpeed(rowA, rowB);
    const a = ofA.at(i, side, at);
    const b = ofB.at(j, side, at);
    if (Number.isNaN(a) || Number.isNaN(b) || !isLarge(a, rowA, rowB, side)) continue;
    sum += (b - a) / Math.abs(a);
    count += 1;
  }
  return count === 0 ? NaN : sum / count;
}

/** Whether a force is large enough for a percentage of it, held against the uncertainty of the difference. */
function isLarge(force: number, rowA: ForceRow, rowB: ForceRow, side: Side): boolean {
  // Of nearly all it is plain without the factor, which takes as long as all the rest of a pair.
  const most = USUAL_FACTOR * (standardU(rowA, side) + standardU(rowB, side));
  const isUsual = most >= 0 && freedomOf(rowA, side) >= USUAL_FREEDOM && freedomOf(rowB, side) >= USUAL_FREEDOM;
  if (isUsual && isClearOfZero(force, most)) return true;
  return isClearOfZero(force, expandedDifference(rowA, rowB, side));
}

/**
 * Coverage factor of so many degrees of freedom or more, at most: Student's t at 97.5 % is 2.042 at 30 (tables of the distribution). A
 * difference has no fewer than the fewest of its two.
 */
const USUAL_FREEDOM = 30;
const USUAL_FACTOR = 2.05;

function commonSpeed(rowA: ForceRow, rowB: ForceRow): number {
  return rowA.velocity === rowB.velocity ? rowA.velocity : (rowA.velocity + rowB.velocity) / 2;
}

const NOT_STATED: ExpandedPair = { u: NaN, U: NaN, coverageFactor: NaN, degreesOfFreedom: Infinity };

/** Of the difference of two independent forces (JCGM 100:2008, 5.1.2 and G.4); a row that states none adds nothing. */
function uncertaintyOfDifference(rowA: ForceRow, rowB: ForceRow, side: Side): ExpandedPair {
  const a = standardU(rowA, side);
  const b = standardU(rowB, side);
  if (Number.isNaN(a) && Number.isNaN(b)) return NOT_STATED;
  return expandTwo(Number.isNaN(a) ? 0 : a, freedomOf(rowA, side), Number.isNaN(b) ? 0 : b, freedomOf(rowB, side));
}

/** The expanded one alone [N], NaN where neither states one. */
function expandedDifference(rowA: ForceRow, rowB: ForceRow, side: Side): number {
  const statedA = standardU(rowA, side);
  const statedB = standardU(rowB, side);
  if (Number.isNaN(statedA) && Number.isNaN(statedB)) return NaN;
  const a = Number.isNaN(statedA) ? 0 : statedA;
  const b = Number.isNaN(statedB) ? 0 : statedB;
  return coverageFactorOf(freedomOfTwo(a, freedomOf(rowA, side), b, freedomOf(rowB, side))) * rootOfTwo(a, b);
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

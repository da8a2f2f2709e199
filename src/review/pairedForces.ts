import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import { coverageFactorOf } from '../analysis/uncertainty/expand';
import type { ForceRow, ForceTable, MeasuredRow } from '../files/forceTable';
import type { Comparison } from './comparison';
import { dampingAt, isClearOfZero, type PairedRows } from './pairedRows';
import { curvesOf } from './referenceCurves';
import { statedOf } from './statedUncertainty';

/** Damping forces [N] of two tables at one setting, pass and speed. */
export interface PairedForce {
  /** Of the first table. */
  readonly row: ForceRow;
  readonly side: Side;
  /** Common speed [m/s]. */
  readonly at: number;
  readonly a: number;
  readonly b: number;
  /** Standard uncertainty of the difference [N]; NaN where neither states one. */
  readonly u: number;
  /** Effective degrees of freedom of it. */
  readonly df: number;
  /** Expanded, 95 % [N]. */
  readonly U: number;
}

/** Both sides of every pair whose damping forces are known, compression first; both curves are read at the same speed. */
export function forcesOfPairs(tableA: ForceTable, tableB: ForceTable, { both }: PairedRows): readonly PairedForce[] {
  const forces: PairedForce[] = [];
  const curvesA = curvesOf(tableA);
  const curvesB = curvesOf(tableB);
  for (const { rowA, rowB, setting } of both) {
    const at = rowA.velocity === rowB.velocity ? rowA.velocity : (rowA.velocity + rowB.velocity) / 2;
    const ofA = curvesA.atKey(setting);
    const ofB = curvesB.atKey(setting);
    for (const side of SIDES) {
      const a = dampingAt(tableA, ofA, rowA, side, at);
      const b = dampingAt(tableB, ofB, rowB, side, at);
      if (Number.isNaN(a) || Number.isNaN(b)) continue;
      const { u, df } = ofDifference(standardOf(rowA.measured, side), standardOf(rowB.measured, side));
      forces.push({ row: rowA, side, at, a, b, u, df, U: u * coverageFactorOf(df) });
    }
  }
  return forces;
}

/** Mean over the points of each side whose force is large enough for a percentage. */
export function meanRelative(forces: readonly PairedForce[]): Comparison['mean'] {
  const mean: Partial<Record<Side, number>> = {};
  for (const side of SIDES) {
    let sum = 0;
    let count = 0;
    for (const force of forces) {
      if (force.side !== side || !isClearOfZero(force.a, force.U)) continue;
      sum += (force.b - force.a) / Math.abs(force.a);
      count += 1;
    }
    if (count > 0) mean[side] = sum / count;
  }
  return mean;
}

/** A standard uncertainty [N] and its degrees of freedom. */
interface StandardU {
  readonly u: number;
  readonly df: number;
}

function standardOf(measured: MeasuredRow | undefined, side: Side): StandardU | undefined {
  const { U, k, df } = statedOf(measured, side);
  return Number.isFinite(U) && k > 0 ? { u: U / k, df: Number.isNaN(df) ? Infinity : df } : undefined;
}

const NOT_STATED: StandardU = { u: NaN, df: Infinity };

/** Of the difference of two independent forces (JCGM 100:2008, 5.1.2 and G.4). */
function ofDifference(first: StandardU | undefined, second: StandardU | undefined): StandardU {
  if (first === undefined || second === undefined) return first ?? second ?? NOT_STATED;
  const variance = first.u * first.u + second.u * second.u;
  const spent = first.u ** 4 / first.df + second.u ** 4 / second.df;
  return { u: Math.sqrt(variance), df: spent > 0 ? (variance * variance) / spent : Infinity };
}

import type { Stroke } from '../motion/cycle';
import { solvePositiveDefinite } from '../statistics/normalEquations';

/** Force of one stroke at its peak speed. */
export interface PeakForce {
  /** [N] */
  readonly force: number;
  /** Variance of `force` as the scatter about the fit lets expect it [N^2]; NaN where there are no samples to spare. */
  readonly variance: number;
  /** Samples within the window of the definition. */
  readonly samples: number;
}

/** Half width of the window about peak speed: phase of the motion [rad], or share of the time from 10 to 90 % of the travel. */
const SINE_HALF_WIDTH = 0.7;
const PLATEAU_HALF_WIDTH = 0.375;
const SINE_DEGREE = 4;
const PLATEAU_DEGREE = 2;
const MOST_TERMS = SINE_DEGREE + 1;

const sums = new Float64Array(2 * SINE_DEGREE + 1);
const products = new Float64Array(MOST_TERMS);
const normal = new Float64Array(MOST_TERMS * MOST_TERMS);
const solution = new Float64Array(MOST_TERMS * 2);

/**
 * Force at peak speed: a polynomial of degree 4 in time fitted within 0.7 rad of the motion's phase at peak speed and read there; on a
 * constant-speed drive a straight line through the middle 75 % of the plateau, read at mid-travel: its mean, whatever the place of the
 * samples. Never the stroke's largest force. Where the window holds too few samples for the polynomial it is widened to as many as it
 * needs; `samples` still tells how many there were.
 *
 * @param low first position that may be read. @param end position after the last.
 */
export function forceAtPeakSpeed(
  time: Float64Array,
  force: Float64Array,
  stroke: Stroke,
  low: number,
  end: number,
): PeakForce {
  const { peakTime, plateau, phaseRate, t10, t90 } = stroke;
  const half = plateau ? PLATEAU_HALF_WIDTH * (t90 - t10) : SINE_HALF_WIDTH / phaseRate;
  const terms = (plateau ? PLATEAU_DEGREE : SINE_DEGREE) + 1;
  let from = Math.max(low, Math.min(stroke.firstIndex, end));
  while (from < end && time[from]! < peakTime - half) from++;
  let to = from;
  while (to < end && time[to]! <= peakTime + half) to++;
  const samples = to - from;
  while (to - from < terms + 2 && (from > low || to < end)) {
    const before = from > low ? peakTime - time[from - 1]! : Infinity;
    const after = to < end ? time[to]! - peakTime : Infinity;
    if (before <= after) from--;
    else to++;
  }
  const reach = Math.max(half, Math.abs(time[from]! - peakTime), Math.abs(time[to - 1]! - peakTime));
  return { ...fitAtOrigin(time, force, from, to, peakTime, reach, terms), samples };
}

/** Value and variance at `origin` of a least-squares polynomial in (t - origin) / reach. */
function fitAtOrigin(
  t: Float64Array,
  f: Float64Array,
  from: number,
  to: number,
  origin: number,
  reach: number,
  terms: number,
): { force: number; variance: number } {
  const level = f[(from + to) >> 1]!;
  const squares =
    terms === MOST_TERMS
      ? gatherQuartic(t, f, from, to, origin, reach, level)
      : gatherParabola(t, f, from, to, origin, reach, level);
  for (let a = 0; a < terms; a++) {
    solution[2 * a] = products[a]!;
    solution[2 * a + 1] = a === 0 ? 1 : 0;
    for (let b = 0; b <= a; b++) normal[a * terms + b] = sums[a + b]!;
  }
  if (!solvePositiveDefinite(normal, solution, terms, 2)) return { force: NaN, variance: NaN };
  let rest = squares;
  for (let a = 0; a < terms; a++) rest -= solution[2 * a]! * products[a]!;
  const freedom = to - from - terms;
  const variance = freedom > 0 ? (Math.max(rest, 0) / freedom) * solution[1]! : NaN;
  return { force: level + solution[0]!, variance };
}

function gatherQuartic(
  t: Float64Array,
  f: Float64Array,
  from: number,
  to: number,
  origin: number,
  reach: number,
  level: number,
): number {
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let s4 = 0;
  let s5 = 0;
  let s6 = 0;
  let s7 = 0;
  let s8 = 0;
  let p0 = 0;
  let p1 = 0;
  let p2 = 0;
  let p3 = 0;
  let p4 = 0;
  let squares = 0;
  for (let i = from; i < to; i++) {
    const u = (t[i]! - origin) / reach;
    const y = f[i]! - level;
    const u2 = u * u;
    const u3 = u2 * u;
    const u4 = u2 * u2;
    s1 += u;
    s2 += u2;
    s3 += u3;
    s4 += u4;
    s5 += u2 * u3;
    s6 += u3 * u3;
    s7 += u3 * u4;
    s8 += u4 * u4;
    p0 += y;
    p1 += y * u;
    p2 += y * u2;
    p3 += y * u3;
    p4 += y * u4;
    squares += y * y;
  }
  sums.set([to - from, s1, s2, s3, s4, s5, s6, s7, s8]);
  products.set([p0, p1, p2, p3, p4]);
  return squares;
}

function gatherParabola(
  t: Float64Array,
  f: Float64Array,
  from: number,
  to: number,
  origin: number,
  reach: number,
  level: number,
): number {
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let s4 = 0;
  let p0 = 0;
  let p1 = 0;
  let p2 = 0;
  let squares = 0;
  for (let i = from; i < to; i++) {
    const u = (t[i]! - origin) / reach;
    const y = f[i]! - level;
    const u2 = u * u;
    s1 += u;
    s2 += u2;
    s3 += u2 * u;
    s4 += u2 * u2;
    p0 += y;
    p1 += y * u;
    p2 += y * u2;
    squares += y * y;
  }
  sums.set([to - from, s1, s2, s3, s4]);
  products.set([p0, p1, p2]);
  return squares;
}

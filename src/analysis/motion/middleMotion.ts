import { solvePositiveDefinite } from '../statistics/normalEquations';

/** How the middle of a stroke moves, from a cubic through its displacement. SI. */
export interface MiddleMotion {
  readonly peakSpeed: number;
  readonly peakTime: number;
  /** 0 on a plateau. */
  readonly phaseRate: number;
  readonly plateau: boolean;
}

/** A sine loses 17 % of its speed from mid-stroke to 22 or 78 % of the travel, a constant-speed drive none. */
const PLATEAU_SPEED_LOSS = 0.08;
const FEWEST_SAMPLES = 5;

const sums = new Float64Array(7);
const products = new Float64Array(4);
const normal = new Float64Array(16);
const cubic = new Float64Array(4);

/**
 * Least-squares cubic of displacement over time, samples `from` to `to` (excluded), about `middleTime`.
 * The speed and phase rate that a cubic gives of a sine are corrected for the fifth power that it cannot follow.
 *
 * @returns undefined where the samples are too few; the caller then knows only the mean speed.
 */
export function fitMiddleMotion(
  time: Float64Array,
  displacement: Float64Array,
  from: number,
  to: number,
  middleTime: number,
): MiddleMotion | undefined {
  if (to - from < FEWEST_SAMPLES) return undefined;
  const half = (time[to - 1]! - time[from]!) / 2;
  if (!(half > 0)) return undefined;
  gatherSums(time, displacement, from, to, middleTime, half);
  for (let a = 0; a < 4; a++) {
    cubic[a] = products[a]!;
    for (let b = 0; b <= a; b++) normal[a * 4 + b] = sums[a + b]!;
  }
  if (!solvePositiveDefinite(normal, cubic, 4, 1)) return undefined;
  return motionOfCubic(cubic[1]!, cubic[2]!, cubic[3]!, middleTime, half);
}

function gatherSums(
  t: Float64Array,
  x: Float64Array,
  from: number,
  to: number,
  middleTime: number,
  half: number,
): void {
  const origin = x[(from + to) >> 1]!;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let s4 = 0;
  let s5 = 0;
  let s6 = 0;
  let p0 = 0;
  let p1 = 0;
  let p2 = 0;
  let p3 = 0;
  for (let i = from; i < to; i++) {
    const u = (t[i]! - middleTime) / half;
    const y = x[i]! - origin;
    const u2 = u * u;
    const u3 = u2 * u;
    s1 += u;
    s2 += u2;
    s3 += u3;
    s4 += u2 * u2;
    s5 += u2 * u3;
    s6 += u3 * u3;
    p0 += y;
    p1 += y * u;
    p2 += y * u2;
    p3 += y * u3;
  }
  sums[0] = to - from;
  sums[1] = s1;
  sums[2] = s2;
  sums[3] = s3;
  sums[4] = s4;
  sums[5] = s5;
  sums[6] = s6;
  products[0] = p0;
  products[1] = p1;
  products[2] = p2;
  products[3] = p3;
}

/** Slope of the straight line through the samples gathered: a plateau's speed, with less than half the scatter of the cubic's. */
function slopeOfLine(): number {
  const [n, s1, s2] = sums;
  return (n! * products[1]! - s1! * products[0]!) / (n! * s2! - s1! * s1!);
}

/** x = ... + b u + c u^2 + d u^3 with u = (t - middleTime) / half. */
function motionOfCubic(b: number, c: number, d: number, middleTime: number, half: number): MiddleMotion {
  const speedLoss = (-3 * d) / b;
  if (!(speedLoss > PLATEAU_SPEED_LOSS)) {
    return { peakSpeed: Math.abs(slopeOfLine()) / half, peakTime: middleTime, phaseRate: 0, plateau: true };
  }
  const vertex = Math.max(-0.5, Math.min(0.5, -c / (3 * d)));
  const slope = Math.abs(b + 2 * c * vertex + 3 * d * vertex * vertex) / half;
  // For x = sin(w t) the fit's -6 d / b = q is z (1 - 0.0556 z + 0.0032 z^2), z = (w half)^2, and its slope is low by (5/21) z^2 / 120
  // of its value: the least-squares cubic of u^5 on [-1, 1] is (10/9) u^3 - (5/21) u, that of u^7 is 1.0606 u^3 - 0.3030 u.
  const q = 2 * speedLoss;
  const z = q * (1 + q * (1 / 18 + 0.00293 * q));
  return {
    peakSpeed: slope / (1 - ((5 / 21) * z * z) / 120),
    peakTime: middleTime + vertex * half,
    phaseRate: Math.sqrt(z) / half,
    plateau: false,
  };
}

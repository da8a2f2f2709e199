import { chiSquareQuantile } from '../statistics/distributions';

/**
 * Mean relative drift of compression and of rebound of one run, positive where harder: the two numbers that a change between builds is
 * judged by. Signed as force, a change of both sides alike would have two signs, and the stated power would be that of another change.
 */
export type SideMeans = readonly [compression: number, rebound: number];

/** Covariance of SideMeans between complete runs without a rebuild, with its degrees of freedom. */
export interface RunCovariance {
  readonly matrix: readonly [readonly [number, number], readonly [number, number]];
  /** Sum over units of (repeats - 1). */
  readonly degreesOfFreedom: number;
}

export interface ChangeTest {
  /** Hotelling's T^2 of the two means against twice the run-to-run covariance. */
  readonly tSquared: number;
  readonly f: number;
  readonly pValue: number;
  readonly significant: boolean;
  /** Probability that this test calls a change of that share, both sides harder or both softer, significant. */
  readonly power: readonly { readonly change: number; readonly probability: number }[];
}

const SIDES = 2;
const LEVEL = 0.05;
/** Changes whose power is stated: what a careful bench hopes to see, and what a driver feels. */
export const STATED_CHANGES: readonly number[] = [0.01, 0.02, 0.05];

/**
 * Pools repeats of several units.
 * @param units for each unit the side means of its repeat runs; units with one run add nothing
 * @returns undefined with fewer than two degrees of freedom, where no test on two numbers exists
 */
export function runCovariance(units: readonly (readonly SideMeans[])[]): RunCovariance | undefined {
  let degreesOfFreedom = 0;
  let cc = 0;
  let cr = 0;
  let rr = 0;
  for (const runs of units) {
    if (runs.length < 2) continue;
    const mean = [0, 1].map((side) => runs.reduce((sum, run) => sum + run[side]!, 0) / runs.length);
    for (const run of runs) {
      const c = run[0] - mean[0]!;
      const r = run[1] - mean[1]!;
      cc += c * c;
      cr += c * r;
      rr += r * r;
    }
    degreesOfFreedom += runs.length - 1;
  }
  if (degreesOfFreedom < SIDES) return undefined;
  const n = degreesOfFreedom;
  return {
    matrix: [
      [cc / n, cr / n],
      [cr / n, rr / n],
    ],
    degreesOfFreedom,
  };
}

/**
 * Whether two builds differ by more than a rebuild-free repetition of the run does: T^2 = d' (2S)^-1 d, F = T^2 (df - 1) / (2 df) on
 * (2, df - 1) degrees of freedom (Hotelling, Ann. Math. Stat. 2 (1931) 360).
 *
 * @param difference mean relative drift of each side between the builds
 * @returns undefined where the covariance is singular
 */
export function testChange(difference: SideMeans, covariance: RunCovariance): ChangeTest | undefined {
  const distance = squaredDistance(difference, covariance);
  if (distance === undefined) return undefined;
  const df = covariance.degreesOfFreedom;
  const toF = (df - SIDES + 1) / (df * SIDES);
  const f = distance * toF;
  const pValue = fAboveOnTwo(f, df - SIDES + 1);
  return { tSquared: distance, f, pValue, significant: pValue < LEVEL, power: statedPower(covariance) };
}

/** Rests on the repeats alone, which every build of a spec is held against: worked out once for them. */
function statedPower(covariance: RunCovariance): ChangeTest['power'] {
  const known = powers.get(covariance);
  if (known !== undefined) return known;
  const power = STATED_CHANGES.map((change) => ({
    change,
    probability: powerOf(squaredDistance([change, change], covariance) ?? 0, covariance.degreesOfFreedom),
  }));
  powers.set(covariance, power);
  return power;
}

const powers = new WeakMap<RunCovariance, ChangeTest['power']>();

/** P(F > f) on (2, n): the one numerator where the integral is a power; keeps its digits far out. */
function fAboveOnTwo(f: number, n: number): number {
  return (1 + (2 * f) / n) ** (-n / 2);
}

/** The f that F on (2, n) exceeds with probability `tail`. */
function fOnTwo(tail: number, n: number): number {
  return (n / 2) * (tail ** (-2 / n) - 1);
}

function squaredDistance(d: SideMeans, { matrix }: RunCovariance): number | undefined {
  const [[cc, cr], [, rr]] = matrix;
  const determinant = cc * rr - cr * cr;
  if (!(determinant > 1e-12 * cc * rr)) return undefined;
  return (d[0] * d[0] * rr - 2 * d[0] * d[1] * cr + d[1] * d[1] * cc) / (2 * determinant);
}

/**
 * The covariance is an estimate, and the distance that it gives is too large more often than not: true over estimated distance is
 * distributed as chi-square on df - 1 degrees of freedom over df (Mardia, Kent, Bibby, Multivariate Analysis, 1979, theorem 3.4.7; from
 * memory). Taken down by the median of that, the stated power is too high in one half of all cases and too low in the other.
 */
function powerOf(distance: number, df: number): number {
  const denominator = df - SIDES + 1;
  const noncentrality = (distance * chiSquareQuantile(0.5, denominator)) / df;
  return 1 - noncentralFOnTwo(fOnTwo(LEVEL, denominator), denominator, noncentrality);
}

/**
 * Noncentral F distribution on (2, n): the Poisson mixture of central ones on (2 + 2j, n) (Johnson, Kotz, Balakrishnan, Continuous
 * Univariate Distributions 2, chapter 30), each of them the one before less a term (Abramowitz, Stegun, Handbook of Mathematical
 * Functions, 26.5.16). Terms are added until what is left cannot change the tenth digit.
 *
 * @param f of ordinary size, so that P(F > f) of the central distribution is a number above 0
 */
export function noncentralFOnTwo(f: number, n: number, noncentrality: number): number {
  const half = noncentrality / 2;
  const x = (2 * f) / (2 * f + n);
  const above = fAboveOnTwo(f, n);
  let central = 1 - above;
  let step = (above * x * n) / 2;
  let logWeight = -half;
  let left = 1;
  let sum = 0;
  for (let j = 0; left > 1e-11 && j < 20_000; j++) {
    if (j > 0) {
      logWeight += Math.log(half / j);
      central -= step;
      step *= (x * (j + n / 2)) / (j + 1);
    }
    const weight = Math.exp(logWeight);
    sum += weight * central;
    left -= weight;
    if (half === 0) break;
  }
  return sum;
}

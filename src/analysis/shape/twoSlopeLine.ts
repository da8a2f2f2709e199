import { goldenSection } from '../statistics/goldenSection';
import { leastSquares } from '../statistics/leastSquares';
import type { LeastSquaresFit } from '../statistics/leastSquares';

/** F(v) = atZero + low v + (high - low) s ln(1 + exp((v - knee)/s)), s = softness x knee: two slopes that meet softly at the knee. */
export interface TwoSlopeLine {
  readonly knee: number;
  readonly softness: number;
  readonly atZero: number;
  readonly low: number;
  readonly high: number;
  /** Weighted sum of squared residuals. */
  readonly residualSumOfSquares: number;
  /** Standard uncertainties; the knee's is linearised about the solution. NaN where the data leave no degree of freedom. */
  readonly u: { readonly knee: number; readonly atZero: number; readonly low: number; readonly high: number };
}

/** How gradual the bend may be, as a share of the knee's speed: from an edge to a wide curve. */
const SOFTNESS = [0.02, 0.15, 0.3];
const KNEE_GRID = 60;

/**
 * Weighted least squares over knee (between the second and the second-last speed), softness and the three linear coefficients.
 * The knee is searched on a logarithmic grid, then refined by golden section, since the sum of squares has more than one dip.
 *
 * @param speeds at least five, rising [m/s]. @param forces as many magnitudes [N]. @param weights 1 / variance up to a factor.
 * @returns undefined where the coefficients cannot be told apart.
 */
export function fitTwoSlopeLine(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
): TwoSlopeLine | undefined {
  const first = speeds[1]!;
  const last = speeds[speeds.length - 2]!;
  const sumAt = (knee: number, softness: number): number =>
    fitAt(speeds, forces, weights, knee, softness)?.residualSumOfSquares ?? Infinity;
  let best = { knee: NaN, softness: NaN, sum: Infinity };
  for (const softness of SOFTNESS)
    for (let i = 0; i < KNEE_GRID; i++) {
      const knee = first * (last / first) ** (i / (KNEE_GRID - 1));
      const sum = sumAt(knee, softness);
      if (sum < best.sum) best = { knee, softness, sum };
    }
  if (!Number.isFinite(best.sum)) return undefined;
  const cell = (last / first) ** (1 / (KNEE_GRID - 1));
  const { softness } = best;
  const knee = goldenSection(
    (at) => sumAt(at, softness),
    Math.max(first, best.knee / cell),
    Math.min(last, best.knee * cell),
  );
  const fit = fitAt(speeds, forces, weights, knee, softness);
  return fit && describe(speeds, forces, weights, knee, softness, fit);
}

/** ln(1 + exp(x)) without overflow. */
function softPlus(x: number): number {
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x));
}

function fitAt(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
  knee: number,
  softness: number,
): LeastSquaresFit | undefined {
  const s = softness * knee;
  return leastSquares(
    speeds.map((v) => [1, v, s * softPlus((v - knee) / s)]),
    forces,
    weights,
  );
}

function describe(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
  knee: number,
  softness: number,
  fit: LeastSquaresFit,
): TwoSlopeLine {
  const [atZero, low, bend] = fit.coefficients as [number, number, number];
  const s = softness * knee;
  const design = speeds.map((v) => {
    const z = (v - knee) / s;
    // derivative of the bend's term with the knee, softness share held: s follows the knee
    const toKnee = bend * (softness * softPlus(z) - (1 / (1 + Math.exp(-z))) * (1 + softness * z));
    return [1, v, s * softPlus(z), toKnee];
  });
  const linearised = leastSquares(design, forces, weights);
  const variance = fit.residualSumOfSquares / (speeds.length - 4);
  const c = linearised?.unscaledCovariance;
  const deviation = (i: number): number => Math.sqrt(variance * (c?.[i]?.[i] ?? NaN));
  const highVariance = c === undefined ? NaN : c[1]![1]! + c[2]![2]! + 2 * c[1]![2]!;
  return {
    knee,
    softness,
    atZero,
    low,
    high: low + bend,
    residualSumOfSquares: fit.residualSumOfSquares,
    u: { knee: deviation(3), atZero: deviation(0), low: deviation(1), high: Math.sqrt(variance * highVariance) },
  };
}

import { leastSquares } from '../statistics/leastSquares';
import type { LeastSquaresFit } from '../statistics/leastSquares';
import { bendByKnee } from './bendCost';
import type { Bend } from './bendGrid';
import { SHARP } from './bendGrid';
import { bestBend } from './bendSearch';
import { softPlus } from './softPlus';

/** F(v) = atZero + low v + (high - low) s ln(1 + exp((v - knee)/s)), s = softness x knee: two slopes that meet softly at the knee. */
export interface TwoSlopeLine {
  readonly knee: number;
  readonly softness: number;
  readonly atZero: number;
  readonly low: number;
  readonly high: number;
  /** Weighted sum of squared residuals. */
  readonly residualSumOfSquares: number;
  /** high / low. Below 0 where force falls above the knee, or where it falls below it. */
  readonly ratio: number;
  /** Standard uncertainties; the knee's is linearised about the solution. NaN where the data leave no degree of freedom. */
  readonly u: {
    readonly knee: number;
    readonly atZero: number;
    readonly low: number;
    readonly high: number;
    readonly ratio: number;
  };
}

/**
 * Weighted least squares over knee (between the second and the second-last speed), softness and the three linear coefficients.
 *
 * @param speeds at least five, rising [m/s]. @param forces as many magnitudes [N]. @param weights 1 / variance up to a factor.
 * @param leastVariance of a point of weight 1 [N^2]: uncertainties are never smaller than it makes them, however well the line fits.
 * @returns undefined where the coefficients cannot be told apart.
 */
export function fitTwoSlopeLine(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
  leastVariance = 0,
): TwoSlopeLine | undefined {
  const bend = bestBend(speeds, forces, weights);
  if (bend === undefined) return undefined;
  const design = designOf(speeds, bend);
  const fit = leastSquares(design, forces, weights, HELD);
  return fit && describe(design, forces, weights, bend, fit, leastVariance);
}

/**
 * The same line with its knee held, sharp: what a curve without a bend can be asked. The best knee of such a curve lies anywhere,
 * often between its first two points, where two slopes tell nothing.
 */
export function bendAt(
  knee: number,
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
  leastVariance = 0,
): TwoSlopeLine | undefined {
  const bend = { knee, softness: SHARP };
  const fit = leastSquares(designOf(speeds, bend), forces, weights, HELD);
  return fit && withUncertainties(fit, fit.unscaledCovariance, bend, leastVariance);
}

/** Regressors of the line at every speed, and as a fourth one what the knee does to a bend of slope 1. */
function designOf(speeds: readonly number[], { knee, softness }: Bend): number[][] {
  const s = softness * knee;
  return speeds.map((v) => {
    const z = (v - knee) / s;
    const plus = softPlus(z);
    return [1, v, s * plus, bendByKnee(z, plus, softness)];
  });
}

/** With the knee held. */
const HELD = 3;

/** The fit with the knee's own freedom in its uncertainties. */
function describe(
  design: number[][],
  forces: readonly number[],
  weights: readonly number[],
  bend: Bend,
  fit: LeastSquaresFit,
  leastVariance: number,
): TwoSlopeLine {
  for (const row of design) row[HELD]! *= fit.coefficients[2]!;
  // Without a bend the knee is anywhere; the slopes are then as uncertain as with the knee held.
  const covariance = leastSquares(design, forces, weights)?.unscaledCovariance ?? fit.unscaledCovariance;
  return withUncertainties(fit, covariance, bend, leastVariance);
}

/** @param unscaled covariance of atZero, low, bend and, where it was fitted, knee, for unit variance at weight 1. */
function withUncertainties(
  fit: LeastSquaresFit,
  unscaled: readonly (readonly number[])[],
  { knee, softness }: Bend,
  leastVariance: number,
): TwoSlopeLine {
  const [atZero, low, bend] = fit.coefficients as [number, number, number];
  const freedom = fit.degreesOfFreedom + fit.coefficients.length - unscaled.length;
  const variance = Math.max(freedom > 0 ? fit.residualSumOfSquares / freedom : NaN, leastVariance);
  const covariance = (i: number, j: number): number => variance * (unscaled[i]?.[j] ?? NaN);
  const deviation = (i: number): number => Math.sqrt(covariance(i, i));
  const [toLow, toBend] = [-bend / low ** 2, 1 / low];
  return {
    knee,
    softness,
    atZero,
    low,
    high: low + bend,
    residualSumOfSquares: fit.residualSumOfSquares,
    ratio: (low + bend) / low,
    u: {
      knee: deviation(3),
      atZero: deviation(0),
      low: deviation(1),
      high: Math.sqrt(covariance(1, 1) + covariance(2, 2) + 2 * covariance(1, 2)),
      ratio: Math.sqrt(
        toLow ** 2 * covariance(1, 1) + toBend ** 2 * covariance(2, 2) + 2 * toLow * toBend * covariance(1, 2),
      ),
    },
  };
}

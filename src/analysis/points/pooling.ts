import { cochranOutliers } from '../statistics/cochran';

/** One side of a step, as far as the scatter between its cycles goes. */
export interface PointScatter {
  /** Cycles used. */
  readonly cycles: number;
  /** Standard deviation of the force at peak speed between them [N]. */
  readonly cycleSpread: number;
  /** Variance that the local fits let expect of one cycle's force [N^2]. */
  readonly fitVariance: number;
}

/** Standard uncertainty of a mean force from the scatter between cycles [N], type A, with its degrees of freedom. */
export interface ScatterUncertainty {
  readonly u: number;
  readonly df: number;
}

const SIGNIFICANCE = 0.01;

/**
 * Type A uncertainty of every point of a log. Two or three cycles alone say little about their scatter; but over a log the scatter
 * follows the variance v_k that the local fits let expect, up to one factor: s_k^2 = lambda v_k, lambda = sum (n_k - 1) s_k^2 / v_k /
 * sum (n_k - 1), with the degrees of freedom of them all. A step whose own spread stands out (Cochran's test of s_k^2 / v_k at 1 %)
 * keeps its own spread and n_k - 1 degrees of freedom, and is left out of lambda.
 */
export function poolCycleScatter(points: readonly PointScatter[]): ScatterUncertainty[] {
  const freedoms = points.map((p) => (p.fitVariance > 0 ? p.cycles - 1 : 0));
  const ratios = points.map((p, i) => (freedoms[i]! > 0 ? p.cycleSpread ** 2 / p.fitVariance : 0));
  const standsOut = cochranOutliers(ratios, freedoms, SIGNIFICANCE);
  let squares = 0;
  let df = 0;
  points.forEach((_, i) => {
    if (standsOut[i] === true) return;
    squares += freedoms[i]! * ratios[i]!;
    df += freedoms[i]!;
  });
  return points.map((p, i) => {
    if (standsOut[i] === true || freedoms[i] === 0 || df === 0) {
      return { u: p.cycles > 1 ? p.cycleSpread / Math.sqrt(p.cycles) : NaN, df: Math.max(0, p.cycles - 1) };
    }
    return { u: Math.sqrt(((squares / df) * p.fitVariance) / p.cycles), df };
  });
}

/** Standard uncertainty of the definition itself [N]: the local fit, quantised displacement and the time of peak speed. */
export function methodUncertainty(force: number): number {
  return Math.hypot(0.03, 1e-4 * force);
}

import { cochranOutliers } from '../statistics/cochran';
import { successiveFreedom } from '../statistics/quantile';

/** One side of a step, as far as the scatter between its cycles goes. */
export interface PointScatter {
  /** Cycles used. */
  readonly cycles: number;
  /** Standard deviation of the force at peak speed between them [N]. */
  readonly cycleSpread: number;
  /** The same from the differences of neighbouring cycles, free of a slow trend [N]. */
  readonly cycleScatter: number;
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
 * follows the variance v_k that the local fits let expect, up to one factor: s_k^2 = lambda v_k, lambda = sum of f_k s_k^2 / v_k over
 * sum of f_k, with the degrees of freedom f_k of them all. s_k is taken between neighbouring cycles: a slow drift of the load cell's
 * zero or of temperature, which the mean over the cycles rightly follows, would otherwise pass for scatter and raise lambda for all.
 * A step whose scatter stands out (Cochran's test of s_k^2 / v_k at 1 %) keeps its own spread with n_k - 1 degrees of freedom and is
 * left out of lambda.
 */
export function poolCycleScatter(points: readonly PointScatter[]): ScatterUncertainty[] {
  const freedoms = points.map((p) => (p.fitVariance > 0 ? successiveFreedom(p.cycles) : 0));
  const ratios = points.map((p, i) => (freedoms[i]! > 0 ? p.cycleScatter ** 2 / p.fitVariance : 0));
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

/**
 * Standard uncertainty of the definition itself [N]: the local fit, quantised displacement and the time of peak speed. Without noise the
 * errors of 200 simulated dampers stay below 1e-4 of the force or 0.15 N; twice as much in the force would over-cover long steps.
 */
export function methodUncertainty(force: number): number {
  return Math.hypot(0.03, 5e-5 * force);
}

import { leastSquares } from '../statistics/leastSquares';
import { levelsOfSweep } from './sweep';
import type { AdjusterSweep } from './sweep';
import { NATURAL_SCATTER } from './clickSteps';

/** Gain in the sum of squares, in variances of a level, that a change point must bring to be believed. */
const LEAST_GAIN = 12;
/** A dead range is at least this many positions long: one small step is an uneven click. */
const SHORTEST = 3;
const FIRST_POSITION = 3;

/**
 * Position past which the adjuster does nothing: change point of level = a + b min(position, m), accepted beyond noise and the
 * natural scatter of steps.
 *
 * @returns the position, or undefined where the adjuster works to its end or the sweep cannot tell (no uncertainties)
 */
export function deadFrom(sweep: AdjusterSweep, scatter = NATURAL_SCATTER): number | undefined {
  const { level, u } = levelsOfSweep(sweep, 'equal-ratio');
  if (sweep.u === undefined || level.length < FIRST_POSITION + SHORTEST) return undefined;
  const { positions } = sweep;
  const sums = positions.map((m, i) => (i < FIRST_POSITION ? Infinity : sumOfSquares(positions, level, m)));
  const whole = sums[sums.length - 1]!;
  let best = sums.length - 1;
  sums.forEach((sum, i) => {
    if (sum < sums[best]!) best = i;
  });
  if (best > positions.length - SHORTEST) return undefined;
  const span = (positions[positions.length - 1]! - positions[0]!) / (positions.length - 1);
  const step = scatter * span;
  const variance = u.reduce((sum, one) => sum + one * one, 0) / u.length + 1.5 * step * step;
  return whole - sums[best]! > LEAST_GAIN * variance ? positions[best] : undefined;
}

function sumOfSquares(positions: readonly number[], level: readonly number[], m: number): number {
  const fit = leastSquares(
    positions.map((p) => [1, Math.min(p, m)]),
    level,
  );
  return fit?.residualSumOfSquares ?? Infinity;
}

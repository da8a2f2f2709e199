import { levelsOfSweep } from './sweep';
import type { AdjusterSweep, StepLaw } from './sweep';
import { NATURAL_SCATTER } from './clickSteps';

/** Gain in the sum of squares, in variances of a level, that a change point must bring to be believed. */
const LEAST_GAIN = 12;
/** A dead range is at least this many positions long: one small step is an uneven click. */
const SHORTEST = 3;
const FIRST_POSITION = 3;

export interface DeadRangeOptions {
  /** Natural scatter of the steps; NATURAL_SCATTER where absent. */
  readonly scatter?: number;
  readonly law?: StepLaw;
  /** The reference's sweep over the same positions: what it does not move either is by design, and is no dead range. */
  readonly reference?: AdjusterSweep;
}

/**
 * Position past which the adjuster does nothing: change point of level = a + b min(position, m), accepted beyond noise and the
 * natural scatter of steps. With a reference its own levels stand in place of the positions, so that steps that grow smaller by design
 * do not count.
 *
 * @returns the position, or undefined where the adjuster works to its end or the sweep cannot tell (no uncertainties)
 */
export function deadFrom(sweep: AdjusterSweep, options: DeadRangeOptions = {}): number | undefined {
  const { scatter = NATURAL_SCATTER, law = 'equal-ratio', reference } = options;
  const { level, u } = levelsOfSweep(sweep, law);
  if (sweep.u === undefined || level.length < FIRST_POSITION + SHORTEST) return undefined;
  const { positions } = sweep;
  const opened = reference === undefined ? positions : levelsOfSweep(reference, law).level;
  const span = (positions[positions.length - 1]! - positions[0]!) / (positions.length - 1);
  const step = scatter * span;
  const variance = u.reduce((sum, one) => sum + one * one, 0) / u.length + 1.5 * step * step;
  // What lies near enough to its line leaves nothing to gain, wherever its change point would be.
  const whole = sumOfSquares(opened, level, opened[opened.length - 1]!);
  if (!(whole > LEAST_GAIN * variance)) return undefined;
  const sums = positions.map((_, i) => (i < FIRST_POSITION ? Infinity : sumOfSquares(opened, level, opened[i]!)));
  let best = sums.length - 1;
  sums.forEach((sum, i) => {
    if (sum < sums[best]!) best = i;
  });
  if (best > positions.length - SHORTEST) return undefined;
  return whole - sums[best]! > LEAST_GAIN * variance ? positions[best] : undefined;
}

/** What a straight line over min(position, m) leaves of the levels; Infinity where all of those are one. */
function sumOfSquares(positions: readonly number[], level: readonly number[], m: number): number {
  const count = level.length;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < count; i++) {
    meanX += Math.min(positions[i]!, m) / count;
    meanY += level[i]! / count;
  }
  let xx = 0;
  let xy = 0;
  for (let i = 0; i < count; i++) {
    const x = Math.min(positions[i]!, m) - meanX;
    xx += x * x;
    xy += x * (level[i]! - meanY);
  }
  if (!(xx > 0)) return Infinity;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += (level[i]! - meanY - (xy / xx) * (Math.min(positions[i]!, m) - meanX)) ** 2;
  return sum;
}

import { PHASE_BINS } from '../reducedLog';

/** From 4/64 of the stroke's time, clear of the reversal, to its middle. */
const FROM = 4;
const LEAST_PAIRS = 8;

/**
 * How unlike the accelerating and the decelerating half of a stroke are, in percent:
 * 100 rms(D(phase) - D(1 - phase)) / max |D|, friction counted in D.
 *
 * @param damping magnitude in each of PHASE_BINS equal parts of the stroke's time; NaN where empty.
 * @param scale largest damping [N] where the zero of `damping` is not known; else the largest of `damping` itself is.
 * @returns undefined where too few parts are filled on both sides.
 */
export function strokeSymmetry(damping: Float64Array, scale?: number): number | undefined {
  let squares = 0;
  let pairs = 0;
  for (let b = FROM; b < PHASE_BINS / 2; b++) {
    const difference = damping[b]! - damping[PHASE_BINS - 1 - b]!;
    if (Number.isNaN(difference)) continue;
    squares += difference * difference;
    pairs++;
  }
  const largest = scale ?? damping.reduce((most, d) => (Number.isNaN(d) ? most : Math.max(most, Math.abs(d))), 0);
  if (pairs < LEAST_PAIRS || !(largest > 0)) return undefined;
  return (100 * Math.sqrt(squares / pairs)) / largest;
}

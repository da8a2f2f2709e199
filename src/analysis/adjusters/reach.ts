import { levelsOfSweep } from './sweep';
import type { AdjusterSweep } from './sweep';

export interface Reach {
  /** Slowest and fastest speed at which a unit moves damping by at least a quarter of its largest effect [m/s]. */
  readonly from: number;
  readonly to: number;
  /** Speed of half effect [m/s], absent where the adjuster acts over all speeds alike. */
  readonly halfEffect?: number;
  readonly acts: 'low speeds' | 'high speeds' | 'all speeds';
}

/** An adjuster reaches a speed where its effect is at least this share of its largest. */
const REACH_SHARE = 0.25;
const STEEPNESS = [2, 3, 4, 5, 6, 8];
const SPEED_STEP = 0.01;

/**
 * Speeds that an adjuster reaches, and its half-effect speed: the edge of the logistic A / (1 + (v / v_half)^p), or its mirror for an
 * adjuster of high speeds, fitted to the effect on ln D. Effects on the force itself decide the reach.
 */
export function reachOfAdjuster(sweep: AdjusterSweep): Reach {
  const force = levelsOfSweep(sweep, 'equal').effect.map(Math.abs);
  const largest = Math.max(...force);
  const reached = sweep.speeds.filter((_, k) => force[k]! >= REACH_SHARE * largest);
  const range = { from: Math.min(...reached), to: Math.max(...reached) };
  const effect = levelsOfSweep(sweep, 'equal-ratio').effect;
  const { low, high } = bestEdges(sweep.speeds, effect);
  const mean = effect.reduce((sum, w) => sum + w, 0) / effect.length;
  const flat = effect.reduce((sum, w) => sum + (w - mean) ** 2, 0);
  const best = low.sum <= high.sum ? low : high;
  if (flat <= 2 * best.sum) return { ...range, acts: 'all speeds' };
  return { ...range, halfEffect: best.speed, acts: best === low ? 'low speeds' : 'high speeds' };
}

interface Edge {
  readonly speed: number;
  /** Sum of squares that the edge leaves. */
  readonly sum: number;
}

/** The best edge of an adjuster of low speeds, and of one of high speeds, over a grid of edges and steepnesses. */
function bestEdges(speeds: readonly number[], effect: readonly number[]): { readonly low: Edge; readonly high: Edge } {
  const powers = STEEPNESS.map((steepness) => speeds.map((v) => v ** steepness));
  const shape = new Float64Array(speeds.length);
  let low: Edge = { speed: NaN, sum: Infinity };
  let high = low;
  const end = Math.log(speeds[speeds.length - 1]!);
  for (let at = Math.log(speeds[0]!); at <= end; at += SPEED_STEP) {
    const speed = Math.exp(at);
    for (let p = 0; p < STEEPNESS.length; p++) {
      const ofEdge = speed ** STEEPNESS[p]!;
      const ofSpeeds = powers[p]!;
      for (let k = 0; k < shape.length; k++) shape[k] = 1 / (1 + ofSpeeds[k]! / ofEdge);
      const lowSum = leftOver(shape, effect);
      if (lowSum < low.sum) low = { speed, sum: lowSum };
      for (let k = 0; k < shape.length; k++) shape[k] = 1 - shape[k]!;
      const highSum = leftOver(shape, effect);
      if (highSum < high.sum) high = { speed, sum: highSum };
    }
  }
  return { low, high };
}

/** Sum of squares that the best amplitude of a shape leaves of an effect; Infinity where that is not above zero. */
function leftOver(shape: Float64Array, effect: readonly number[]): number {
  let along = 0;
  let norm = 0;
  for (let k = 0; k < shape.length; k++) {
    along += shape[k]! * effect[k]!;
    norm += shape[k]! * shape[k]!;
  }
  const amplitude = along / norm;
  if (!(amplitude > 0)) return Infinity;
  let sum = 0;
  for (let k = 0; k < shape.length; k++) sum += (effect[k]! - amplitude * shape[k]!) ** 2;
  return sum;
}

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
  const low = bestEdge(sweep.speeds, effect, true);
  const high = bestEdge(sweep.speeds, effect, false);
  const mean = effect.reduce((sum, w) => sum + w, 0) / effect.length;
  const flat = effect.reduce((sum, w) => sum + (w - mean) ** 2, 0);
  const best = low.sum <= high.sum ? low : high;
  if (flat <= 2 * best.sum) return { ...range, acts: 'all speeds' };
  return { ...range, halfEffect: best.speed, acts: best === low ? 'low speeds' : 'high speeds' };
}

function bestEdge(
  speeds: readonly number[],
  effect: readonly number[],
  low: boolean,
): { readonly speed: number; readonly sum: number } {
  let best = { speed: NaN, sum: Infinity };
  const end = Math.log(speeds[speeds.length - 1]!);
  for (let at = Math.log(speeds[0]!); at <= end; at += SPEED_STEP)
    for (const steepness of STEEPNESS) {
      const shape = speeds.map((v) => {
        const share = 1 / (1 + (v / Math.exp(at)) ** steepness);
        return low ? share : 1 - share;
      });
      const amplitude = dot(shape, effect) / dot(shape, shape);
      if (!(amplitude > 0)) continue;
      const sum = effect.reduce((total, w, k) => total + (w - amplitude * shape[k]!) ** 2, 0);
      if (sum < best.sum) best = { speed: Math.exp(at), sum };
    }
  return best;
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, x, k) => sum + x * b[k]!, 0);
}

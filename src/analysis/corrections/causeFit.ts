import { CauseEffects } from './causeEffects';
import type { Cause, DriftModel, Effect } from './driftModel';
import { areStraight, effectOf } from './driftModel';
import { NewtonStep } from './newtonStep';

/** Sizes of some causes that fit a drift best. */
export interface CauseFit {
  readonly causes: readonly Cause[];
  /** N, share, units of the adjuster or K, one a cause. */
  readonly sizes: readonly number[];
  /** (J' W J)^-1: covariance of the sizes where the weights are 1 / variance. */
  readonly unscaledCovariance: readonly (readonly number[])[];
  /** Weighted sum of squares that is left. */
  readonly residualSumOfSquares: number;
  readonly degreesOfFreedom: number;
}

const MOST_ROUNDS = 30;
const MOST_HALVINGS = 8;
/** A round that takes off less of the sum of squares than this is the last one. */
const SETTLED = 1e-12;
/** A step that promises a tenth of that is not tried: how far the effects are from straight lines makes no factor of ten so near the end. */
const PROMISE_DOUBT = 10;

/**
 * Weighted least squares of the causes' sizes by Gauss and Newton with halved steps where one goes too far; linear causes need one round,
 * a needle a few.
 *
 * @returns undefined where there are too few points, or a cause does nothing or cannot be told from the others.
 */
export function fitCauses(model: DriftModel, causes: readonly Cause[]): CauseFit | undefined {
  const p = causes.length;
  const n = model.points.length;
  if (n <= p) return undefined;
  effects.begin(model, causes);
  step.begin(p);
  let sizes: readonly number[] = new Array<number>(p).fill(0);
  let sum = effects.take(sizes);
  const settled = SETTLED * Math.max(sum, Number.MIN_VALUE);
  const limits: Limits[] = [];
  for (const cause of causes) limits.push(limitsOf(model, cause));
  const rounds = p === 0 ? 0 : areStraight(causes) ? 1 : MOST_ROUNDS;
  for (let round = 0; round < rounds; round++) {
    if (!step.solve(model.weights, effects)) return undefined;
    if (step.promise <= settled / PROMISE_DOUBT) break;
    const next = shortened(effects, sizes, step.change, sum, limits);
    if (next === undefined || sum - next.sum <= settled) break;
    sizes = next.sizes;
    sum = next.sum;
  }
  return {
    causes,
    sizes,
    unscaledCovariance: step.covariance(),
    residualSumOfSquares: sum,
    degreesOfFreedom: n - p,
  };
}

/** Made once: one fit follows the other. */
const effects = new CauseEffects();
const step = new NewtonStep();

type Limits = readonly [number, number];

/** A needle ends at the stops of its sweep: farther out no point tells one size from another. */
function limitsOf({ needles }: DriftModel, cause: Cause): Limits {
  return cause.kind === 'needle' ? needles[cause.adjuster]!.limits : UNLIMITED;
}

const UNLIMITED: Limits = [-Infinity, Infinity];

/** What every cause does to every point. @returns effects by point */
export function effectsOf(model: DriftModel, causes: readonly Cause[], sizes: readonly number[]): readonly Effect[][] {
  return model.points.map((point) => causes.map((cause, k) => effectOf(model, point, cause, sizes[k]!)));
}

/** The step, or a half, a quarter of it, whichever first betters the sum; the effects are then taken at its end. */
function shortened(
  effects: CauseEffects,
  sizes: readonly number[],
  change: Float64Array,
  sum: number,
  limits: readonly Limits[],
): { readonly sizes: readonly number[]; readonly sum: number } | undefined {
  let length = 1;
  for (let halving = 0; halving < MOST_HALVINGS; halving++) {
    const tried: number[] = [];
    for (let k = 0; k < sizes.length; k++) {
      const limit = limits[k]!;
      tried.push(Math.min(limit[1], Math.max(limit[0], sizes[k]! + length * change[k]!)));
    }
    const reached = effects.take(tried);
    if (reached < sum) return { sizes: tried, sum: reached };
    length /= 2;
  }
  return undefined;
}

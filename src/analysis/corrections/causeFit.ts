import { solvePositiveDefinite } from '../statistics/normalEquations';
import { CauseEffects } from './causeEffects';
import type { Cause, DriftModel, Effect } from './driftModel';
import { effectOf } from './driftModel';

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
/** A column this close to the others' plane cannot be told from them. */
const NOT_SEPARABLE = 1e-9;

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
  const effects = new CauseEffects(model, causes);
  let sizes: readonly number[] = causes.map(() => 0);
  let sum = effects.take(sizes);
  const settled = SETTLED * Math.max(sum, Number.MIN_VALUE);
  const limits = causes.map((cause) => limitsOf(model, cause));
  let covariance: Float64Array = new Float64Array(0);
  for (let round = 0; round < MOST_ROUNDS && p > 0; round++) {
    const step = newtonStep(model, effects, p);
    if (step === undefined) return undefined;
    covariance = step.covariance;
    if (step.promise <= settled / PROMISE_DOUBT) break;
    const next = shortened(effects, sizes, step.change, sum, limits);
    if (next === undefined || sum - next.sum <= settled) break;
    ({ sizes, sum } = next);
  }
  return {
    causes,
    sizes,
    unscaledCovariance: causes.map((_, i) => Array.from(covariance.subarray(i * p, (i + 1) * p))),
    residualSumOfSquares: sum,
    degreesOfFreedom: n - p,
  };
}

type Limits = readonly [number, number];

/** A needle ends at the stops of its sweep: farther out no point tells one size from another. */
function limitsOf({ points }: DriftModel, cause: Cause): Limits {
  if (cause.kind !== 'needle') return UNLIMITED;
  let from = Infinity;
  let to = -Infinity;
  for (const { needles } of points) {
    const needle = needles[cause.adjuster];
    if (needle === undefined) continue;
    from = Math.min(from, needle.least - needle.set);
    to = Math.max(to, needle.most - needle.set);
  }
  return [from, to];
}

const UNLIMITED: Limits = [-Infinity, Infinity];

/** What every cause does to every point. @returns effects by point */
export function effectsOf(model: DriftModel, causes: readonly Cause[], sizes: readonly number[]): readonly Effect[][] {
  return model.points.map((point) => causes.map((cause, k) => effectOf(model, point, cause, sizes[k]!)));
}

interface NewtonStep {
  readonly change: Float64Array;
  /** What the whole step takes off the sum of squares if the effects are straight lines. */
  readonly promise: number;
  /** p x p, row by row. */
  readonly covariance: Float64Array;
}

/** The step from the sizes that the effects are taken at. */
function newtonStep({ weights }: DriftModel, effects: CauseEffects, p: number): NewtonStep | undefined {
  const cross = new Float64Array(p * p);
  const right = new Float64Array(p);
  const row = new Float64Array(p);
  for (let i = 0; i < weights.length; i++) {
    effects.derivatives(i, row);
    const rest = effects.rests[i]!;
    const weight = weights[i]!;
    for (let a = 0; a < p; a++) {
      right[a]! += weight * row[a]! * rest;
      for (let b = 0; b <= a; b++) cross[a * p + b]! += weight * row[a]! * row[b]!;
    }
  }
  const scale = new Float64Array(p);
  for (let a = 0; a < p; a++) {
    scale[a] = Math.sqrt(cross[a * p + a]!);
    if (!(scale[a]! > 0)) return undefined;
  }
  return solved(cross, right, scale);
}

/** Solves on columns of unit length, so that newtons and clicks weigh alike in the test for columns that cannot be told apart. */
function solved(cross: Float64Array, right: Float64Array, scale: Float64Array): NewtonStep | undefined {
  const p = scale.length;
  const columns = p + 1;
  const sides = new Float64Array(p * columns);
  for (let a = 0; a < p; a++) {
    for (let b = 0; b <= a; b++) cross[a * p + b]! /= scale[a]! * scale[b]!;
    sides[a * columns] = right[a]! / scale[a]!;
    sides[a * columns + 1 + a] = 1;
  }
  if (!solvePositiveDefinite(cross, sides, p, columns)) return undefined;
  for (let a = 0; a < p; a++) if (cross[a * p + a]! ** 2 < NOT_SEPARABLE) return undefined;
  const covariance = new Float64Array(p * p);
  const change = new Float64Array(p);
  let promise = 0;
  for (let a = 0; a < p; a++) {
    change[a] = sides[a * columns]! / scale[a]!;
    promise += change[a]! * right[a]!;
    for (let b = 0; b < p; b++) covariance[a * p + b] = sides[a * columns + 1 + b]! / (scale[a]! * scale[b]!);
  }
  return { change, promise, covariance };
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
    const tried = sizes.map((size, k) => {
      const limit = limits[k]!;
      return Math.min(limit[1], Math.max(limit[0], size + length * change[k]!));
    });
    const reached = effects.take(tried);
    if (reached < sum) return { sizes: tried, sum: reached };
    length /= 2;
  }
  return undefined;
}

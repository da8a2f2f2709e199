import { solvePositiveDefinite } from '../statistics/normalEquations';
import type { Cause, DriftModel, Effect } from './driftModel';
import { effectOf, modelledDrift } from './driftModel';

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
  let sizes: readonly number[] = causes.map(() => 0);
  let sum = sumOfSquares(model, causes, sizes);
  const total = sum;
  const limits = causes.map((cause) => limitsOf(model, cause));
  let covariance: Float64Array = new Float64Array(0);
  for (let round = 0; round < MOST_ROUNDS && p > 0; round++) {
    const step = newtonStep(model, causes, sizes);
    if (step === undefined) return undefined;
    covariance = step.covariance;
    const next = shortened(model, causes, sizes, step.change, sum, limits);
    if (next === undefined || sum - next.sum <= SETTLED * Math.max(total, Number.MIN_VALUE)) break;
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
function limitsOf(model: DriftModel, cause: Cause): Limits {
  if (cause.kind !== 'needle') return [-Infinity, Infinity];
  const curves = model.points.flatMap(({ needles }) => needles[cause.adjuster] ?? []);
  return [
    Math.min(...curves.map(({ least, set }) => least - set)),
    Math.max(...curves.map(({ most, set }) => most - set)),
  ];
}

/** What every cause does to every point. @returns effects by point */
export function effectsOf(model: DriftModel, causes: readonly Cause[], sizes: readonly number[]): readonly Effect[][] {
  return model.points.map((point) => causes.map((cause, k) => effectOf(model, point, cause, sizes[k]!)));
}

function sumOfSquares(model: DriftModel, causes: readonly Cause[], sizes: readonly number[]): number {
  let sum = 0;
  model.points.forEach((point, i) => {
    const effects = causes.map((cause, k) => effectOf(model, point, cause, sizes[k]!));
    sum += model.weights[i]! * (point.drift - modelledDrift(point, effects)) ** 2;
  });
  return sum;
}

interface NewtonStep {
  readonly change: Float64Array;
  /** p x p, row by row. */
  readonly covariance: Float64Array;
}

function newtonStep(model: DriftModel, causes: readonly Cause[], sizes: readonly number[]): NewtonStep | undefined {
  const p = causes.length;
  const cross = new Float64Array(p * p);
  const right = new Float64Array(p);
  const row = new Float64Array(p);
  model.points.forEach((point, i) => {
    const effects = causes.map((cause, k) => effectOf(model, point, cause, sizes[k]!));
    derivatives(point.reference, effects, row);
    const rest = point.drift - modelledDrift(point, effects);
    const weight = model.weights[i]!;
    for (let a = 0; a < p; a++) {
      right[a]! += weight * row[a]! * rest;
      for (let b = 0; b <= a; b++) cross[a * p + b]! += weight * row[a]! * row[b]!;
    }
  });
  const scale = Float64Array.from({ length: p }, (_, a) => Math.sqrt(cross[a * p + a]!));
  if (scale.some((one) => !(one > 0))) return undefined;
  return solved(cross, right, scale);
}

/** Derivatives of the modelled drift by every size, into `row`. */
export function derivatives(reference: number, effects: readonly Effect[], row: Float64Array): void {
  effects.forEach((effect, k) => {
    if (effect.kind === 'force') {
      row[k] = effect.slope;
      return;
    }
    let others = reference;
    effects.forEach((other, j) => {
      if (j !== k && other.kind === 'factor') others *= other.value;
    });
    row[k] = others * effect.slope;
  });
}

/** Solves on columns of unit length, so that newtons and clicks weigh alike in the test for columns that cannot be told apart. */
function solved(cross: Float64Array, right: Float64Array, scale: Float64Array): NewtonStep | undefined {
  const p = scale.length;
  const scaled = cross.map((value, at) => value / (scale[Math.floor(at / p)]! * scale[at % p]!));
  const columns = p + 1;
  const sides = new Float64Array(p * columns);
  for (let a = 0; a < p; a++) {
    sides[a * columns] = right[a]! / scale[a]!;
    sides[a * columns + 1 + a] = 1;
  }
  if (!solvePositiveDefinite(scaled, sides, p, columns)) return undefined;
  for (let a = 0; a < p; a++) if (scaled[a * p + a]! ** 2 < NOT_SEPARABLE) return undefined;
  const covariance = new Float64Array(p * p);
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++) covariance[a * p + b] = sides[a * columns + 1 + b]! / (scale[a]! * scale[b]!);
  return { change: Float64Array.from(scale, (one, a) => sides[a * columns]! / one), covariance };
}

/** The step, or a half, a quarter of it, whichever first betters the sum. */
function shortened(
  model: DriftModel,
  causes: readonly Cause[],
  sizes: readonly number[],
  change: Float64Array,
  sum: number,
  limits: readonly Limits[],
): { readonly sizes: readonly number[]; readonly sum: number } | undefined {
  let length = 1;
  for (let halving = 0; halving < MOST_HALVINGS; halving++) {
    const tried = sizes.map((size, k) => {
      const [least, most] = limits[k]!;
      return Math.min(most, Math.max(least, size + length * change[k]!));
    });
    const reached = sumOfSquares(model, causes, tried);
    if (reached < sum) return { sizes: tried, sum: reached };
    length /= 2;
  }
  return undefined;
}

import { solvePositiveDefinite } from '../statistics/normalEquations';
import type { CauseFit } from './causeFit';
import { derivatives } from './causeFit';
import type { Cause, DriftModel } from './driftModel';
import { effectOf, modelledDrift, sameCause } from './driftModel';

/**
 * Ranks combinations of causes by what each would leave, on a straight line through the best fit so far: so that only the first few need
 * their rounds of fitting.
 */
export class CauseScreen {
  /** Columns of unit length against each other, with the drift as the last one. */
  readonly #cross: Float64Array;
  readonly #columns: number;
  readonly #total: number;

  /** @param around the fit whose sizes the line touches; causes that it does not hold stand at zero. */
  constructor(
    model: DriftModel,
    readonly candidates: readonly Cause[],
    around: CauseFit,
  ) {
    const n = candidates.length;
    this.#columns = n + 1;
    const sizes = candidates.map((one) => around.sizes[around.causes.findIndex((cause) => sameCause(cause, one))] ?? 0);
    const cross = new Float64Array((n + 1) * (n + 1));
    const row = new Float64Array(n + 1);
    model.points.forEach((point, i) => {
      const effects = candidates.map((cause, k) => effectOf(model, point, cause, sizes[k]!));
      derivatives(point.reference, effects, row);
      row[n] = point.drift - modelledDrift(point, effects) + sizes.reduce((sum, size, k) => sum + size * row[k]!, 0);
      for (let a = 0; a <= n; a++)
        for (let b = 0; b <= n; b++) cross[a * (n + 1) + b]! += model.weights[i]! * row[a]! * row[b]!;
    });
    this.#cross = cross;
    this.#total = cross[n * (n + 1) + n]!;
  }

  /** The combinations of so many causes that leave least, best first. */
  best(size: number, most: number): readonly (readonly Cause[])[] {
    return combinations(this.candidates.length, size)
      .map((chosen) => ({ chosen, left: this.#left(chosen) }))
      .filter(({ left }) => Number.isFinite(left))
      .sort((a, b) => a.left - b.left)
      .slice(0, most)
      .map(({ chosen }) => chosen.map((k) => this.candidates[k]!));
  }

  /** Sum of squares that these columns leave; infinite where they cannot be told apart. */
  #left(chosen: readonly number[]): number {
    const p = chosen.length;
    const at = (a: number, b: number): number => this.#cross[a * this.#columns + b]!;
    const scale = chosen.map((k) => Math.sqrt(at(k, k)));
    if (scale.some((one) => !(one > 0))) return Infinity;
    const left = new Float64Array(p * p);
    const right = new Float64Array(p);
    chosen.forEach((k, a) => {
      right[a] = at(k, this.candidates.length) / scale[a]!;
      chosen.forEach((j, b) => (left[a * p + b] = at(k, j) / (scale[a]! * scale[b]!)));
    });
    const wanted = right.slice();
    if (!solvePositiveDefinite(left, right, p, 1)) return Infinity;
    return this.#total - right.reduce((sum, size, a) => sum + size * wanted[a]!, 0);
  }
}

/** Every choice of `size` out of `count`, as rising indices. */
function combinations(count: number, size: number, from = 0): readonly (readonly number[])[] {
  if (size === 0) return [[]];
  const all: (readonly number[])[] = [];
  for (let first = from; first <= count - size; first++)
    for (const rest of combinations(count, size - 1, first + 1)) all.push([first, ...rest]);
  return all;
}

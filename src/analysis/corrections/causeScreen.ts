import { solvePositiveDefinite } from '../statistics/normalEquations';
import { CauseEffects } from './causeEffects';
import type { CauseFit } from './causeFit';
import type { Cause, DriftModel } from './driftModel';
import { sameCause } from './driftModel';

export interface ScreenedCauses {
  readonly causes: readonly Cause[];
  /** A fit leaves no less: known where the effects are straight lines, else -Infinity. */
  readonly least: number;
}

/** Of what is left on straight lines against what a fit leaves, as a share of the drift's squares. */
const ROUNDING = 1e-9;

/**
 * Ranks combinations of causes by what each would leave, on a straight line through the best fit so far: so that only the first few need
 * their rounds of fitting.
 */
export class CauseScreen {
  /** Columns against each other, with the drift as the last one: the lower triangle, and all with the drift. */
  readonly #cross: Float64Array;
  readonly #columns: number;
  readonly #total: number;

  /** @param around the fit whose sizes the line touches; causes that it does not hold stand at zero. */
  constructor(
    model: DriftModel,
    readonly candidates: readonly Cause[],
    readonly around: CauseFit,
  ) {
    const n = candidates.length;
    this.#columns = n + 1;
    const sizes = candidates.map((one) => around.sizes[around.causes.findIndex((cause) => sameCause(cause, one))] ?? 0);
    const cross = new Float64Array((n + 1) * (n + 1));
    const row = new Float64Array(n + 1);
    const effects = new CauseEffects(model, candidates);
    effects.take(sizes);
    for (let i = 0; i < model.points.length; i++) {
      effects.derivatives(i, row);
      let onLine = 0;
      for (let k = 0; k < n; k++) onLine += sizes[k]! * row[k]!;
      row[n] = effects.rests[i]! + onLine;
      for (let a = 0; a <= n; a++) {
        const weighted = model.weights[i]! * row[a]!;
        for (let b = 0; b < a; b++) cross[a * (n + 1) + b]! += weighted * row[b]!;
        cross[a * (n + 1) + n]! += weighted * row[n];
        if (a < n) cross[a * (n + 1) + a]! += weighted * row[a]!;
      }
    }
    this.#cross = cross;
    this.#total = cross[n * (n + 1) + n]!;
  }

  /** The combinations of so many causes that leave least, best first. */
  best(size: number, most: number): readonly ScreenedCauses[] {
    const ranked: { readonly chosen: readonly number[]; readonly left: number }[] = [];
    for (const chosen of combinations(this.candidates.length, size)) {
      const left = this.#left(chosen);
      if (Number.isFinite(left)) ranked.push({ chosen, left });
    }
    return ranked
      .sort((a, b) => a.left - b.left)
      .slice(0, most)
      .map(({ chosen, left }) => {
        const causes = chosen.map((k) => this.candidates[k]!);
        const straight = areStraight([...causes, ...this.around.causes]);
        return { causes, least: straight ? left - ROUNDING * this.#total : -Infinity };
      });
  }

  /** Sum of squares that these columns leave; infinite where they cannot be told apart. */
  #left(chosen: readonly number[]): number {
    const p = chosen.length;
    const cross = this.#cross;
    const columns = this.#columns;
    const [left, right, wanted, scale] = SCRATCH;
    for (let a = 0; a < p; a++) {
      const row = chosen[a]! * columns;
      const length = Math.sqrt(cross[row + chosen[a]!]!);
      if (!(length > 0)) return Infinity;
      scale[a] = length;
      right[a] = wanted[a] = cross[row + columns - 1]! / length;
      for (let b = 0; b <= a; b++) left[a * p + b] = cross[row + chosen[b]!]! / (length * scale[b]!);
    }
    if (!solvePositiveDefinite(left, right, p, 1)) return Infinity;
    let gain = 0;
    for (let a = 0; a < p; a++) gain += right[a]! * wanted[a]!;
    return this.#total - gain;
  }
}

/** Whether the effects of these causes together are straight lines: no needle, and no two factors on one side. */
function areStraight(causes: readonly Cause[]): boolean {
  const has = (kind: Cause['kind']): boolean => causes.some((cause) => cause.kind === kind);
  return !has('needle') && !(has('temperature') && has('scale'));
}

/** For up to eight causes: normal equations, right side and solution, right side as it was, lengths of the columns. Made once. */
const SCRATCH = [new Float64Array(64), new Float64Array(8), new Float64Array(8), new Float64Array(8)] as const;

/** Every choice of `size` out of `count`, as rising indices. */
function combinations(count: number, size: number, from = 0): readonly (readonly number[])[] {
  if (size === 0) return [[]];
  const all: (readonly number[])[] = [];
  for (let first = from; first <= count - size; first++)
    for (const rest of combinations(count, size - 1, first + 1)) all.push([first, ...rest]);
  return all;
}

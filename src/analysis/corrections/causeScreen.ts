import { solvePositiveDefinite } from '../statistics/normalEquations';
import { CauseEffects } from './causeEffects';
import type { CauseFit } from './causeFit';
import type { Cause, DriftModel } from './driftModel';
import { areStraight, sameCause } from './driftModel';

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
  /** Weighted derivatives by every candidate's size, and as the last one the drift on the line, one after the other. */
  readonly #columns: Float64Array;
  readonly #points: number;
  /** Columns against each other, where they were asked for: NaN before. Lower triangle. */
  readonly #cross: Float64Array;
  readonly #total: number;

  /** @param around the fit whose sizes the line touches; causes that it does not hold stand at zero. */
  constructor(
    model: DriftModel,
    readonly candidates: readonly Cause[],
    readonly around: CauseFit,
  ) {
    const n = candidates.length;
    const points = model.points.length;
    const sizes = candidates.map((one) => around.sizes[around.causes.findIndex((cause) => sameCause(cause, one))] ?? 0);
    const row = new Float64Array(n);
    effects.begin(model, candidates);
    effects.take(sizes);
    this.#points = points;
    this.#columns = new Float64Array((n + 1) * points);
    for (let i = 0; i < points; i++) {
      effects.derivatives(i, row);
      const root = Math.sqrt(model.weights[i]!);
      let onLine = effects.rests[i]!;
      for (let k = 0; k < n; k++) {
        onLine += sizes[k]! * row[k]!;
        this.#columns[k * points + i] = root * row[k]!;
      }
      this.#columns[n * points + i] = root * onLine;
    }
    this.#cross = new Float64Array((n + 1) * (n + 1)).fill(NaN);
    this.#total = this.#product(n, n);
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
    const [left, right, wanted, scale] = SCRATCH;
    for (let a = 0; a < p; a++) {
      const length = Math.sqrt(this.#product(chosen[a]!, chosen[a]!));
      if (!(length > 0)) return Infinity;
      scale[a] = length;
      right[a] = wanted[a] = this.#product(this.candidates.length, chosen[a]!) / length;
      for (let b = 0; b <= a; b++) left[a * p + b] = this.#product(chosen[a]!, chosen[b]!) / (length * scale[b]!);
    }
    if (!solvePositiveDefinite(left, right, p, 1)) return Infinity;
    let gain = 0;
    for (let a = 0; a < p; a++) gain += right[a]! * wanted[a]!;
    return this.#total - gain;
  }

  /** One column against another, b up to a: of single causes few are asked for. */
  #product(a: number, b: number): number {
    const at = a * (this.candidates.length + 1) + b;
    let product = this.#cross[at]!;
    if (Number.isNaN(product)) {
      product = 0;
      const columns = this.#columns;
      const [ofA, ofB] = [a * this.#points, b * this.#points];
      for (let i = 0; i < this.#points; i++) product += columns[ofA + i]! * columns[ofB + i]!;
      this.#cross[at] = product;
    }
    return product;
  }
}

/** Made once: one screen follows the other. */
const effects = new CauseEffects();

/** For up to eight causes: normal equations, right side and solution, right side as it was, lengths of the columns. Made once. */
const SCRATCH = [new Float64Array(64), new Float64Array(8), new Float64Array(8), new Float64Array(8)] as const;

/** Every choice of `size` out of `count`, as rising indices; the same for one result after the other. */
function combinations(count: number, size: number): readonly (readonly number[])[] {
  const at = MOST_OF_ONE * count + size;
  return (chosen[at] ??= chooseFrom(0, count, size));
}

const MOST_OF_ONE = 16;
const chosen: (readonly (readonly number[])[])[] = [];

function chooseFrom(from: number, count: number, size: number): readonly (readonly number[])[] {
  if (size === 0) return [[]];
  const all: (readonly number[])[] = [];
  for (let first = from; first <= count - size; first++)
    for (const rest of chooseFrom(first + 1, count, size - 1)) all.push([first, ...rest]);
  return all;
}

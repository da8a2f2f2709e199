import { SIDE_SIGN } from '../side';
import type { Cause, DriftModel } from './driftModel';

/**
 * What causes of some sizes do to every point of a model, as `effectOf` has it for one, in flat arrays: a result's fits ask for it some
 * hundred times, and without an object each effect that takes a fifth of the time (4 instead of 20 µs for 48 points and 3 causes).
 */
export class CauseEffects {
  /** Drift less what the causes make of it, at the sizes last asked for [N]. */
  readonly rests: number[];
  readonly #model: DriftModel;
  readonly #causes: readonly Cause[];
  /** Which causes add a force; the others are factors on damping. */
  readonly #adds: readonly boolean[];
  /** By cause, then by point: added force or factor, and its derivative by the size. */
  readonly #values: readonly number[][];
  readonly #slopes: readonly number[][];

  constructor(model: DriftModel, causes: readonly Cause[]) {
    const zeros = (): number[] => new Array<number>(model.points.length).fill(0);
    this.#model = model;
    this.#causes = causes;
    this.#adds = causes.map(({ kind }) => kind === 'gas' || kind === 'friction');
    this.#values = causes.map(zeros);
    this.#slopes = causes.map(zeros);
    this.rests = zeros();
  }

  /** Takes these sizes. @returns the weighted sum of squares that they leave. */
  take(sizes: ArrayLike<number>): number {
    for (let k = 0; k < this.#causes.length; k++) this.#fill(k, sizes[k]!);
    const { points, weights } = this.#model;
    let sum = 0;
    for (let i = 0; i < points.length; i++) {
      const point = points[i]!;
      let force = 0;
      let factor = 1;
      for (let k = 0; k < this.#adds.length; k++)
        if (this.#adds[k]!) force += this.#values[k]![i]!;
        else factor *= this.#values[k]![i]!;
      const rest = point.drift - (force + point.reference * (factor - 1));
      this.rests[i] = rest;
      sum += weights[i]! * (rest * rest);
    }
    return sum;
  }

  /** Derivatives of the modelled drift of a point by every size, into `row`. */
  derivatives(i: number, row: Float64Array): void {
    const adds = this.#adds;
    for (let k = 0; k < adds.length; k++) {
      const slope = this.#slopes[k]![i]!;
      if (adds[k]!) {
        row[k] = slope;
        continue;
      }
      let others = this.#model.points[i]!.reference;
      for (let j = 0; j < adds.length; j++) if (j !== k && !adds[j]!) others *= this.#values[j]![i]!;
      row[k] = others * slope;
    }
  }

  #fill(k: number, size: number): void {
    const cause = this.#causes[k]!;
    const values = this.#values[k]!;
    const slopes = this.#slopes[k]!;
    const { points, temperature } = this.#model;
    for (let i = 0; i < points.length; i++) {
      const { side, needles } = points[i]!;
      let value = 1;
      let slope = 0;
      if (cause.kind === 'gas') {
        value = size;
        slope = 1;
      } else if (cause.kind === 'friction') {
        value = size * SIDE_SIGN[side];
        slope = SIDE_SIGN[side];
      } else if (cause.kind === 'temperature') {
        value = 1 + temperature.value * size;
        slope = temperature.value;
      } else if (cause.kind === 'needle') {
        const needle = needles[cause.adjuster];
        if (needle !== undefined) ({ value, slope } = needle.ratio(needle.set + size));
      } else if (side === cause.side) {
        value = 1 + size;
        slope = 1;
      }
      values[i] = value;
      slopes[i] = slope;
    }
  }
}

import { SIDE_SIGN } from '../side';
import type { Cause, DriftModel } from './driftModel';

/**
 * What causes of some sizes do to every point of a model, as `effectOf` has it for one, in flat arrays: a result's fits ask for it some
 * hundred times. One object serves a fit after the other, so that arrays are made once.
 */
export class CauseEffects {
  /** Drift less what the causes make of it, at the sizes last asked for, by point [N]. */
  rests = new Float64Array(0);
  #model: DriftModel | undefined;
  #causes: readonly Cause[] = [];
  /** Which causes add a force; the others are factors on damping. */
  readonly #adds: boolean[] = [];
  /** By cause, then by point: added force or factor, and its derivative by the size. */
  #values = new Float64Array(0);
  #slopes = new Float64Array(0);

  /** Turns to other points or causes. */
  begin(model: DriftModel, causes: readonly Cause[]): this {
    const n = model.points.length;
    const size = n * causes.length;
    this.#model = model;
    this.#causes = causes;
    if (this.rests.length !== n) this.rests = new Float64Array(n);
    if (this.#values.length < size) {
      this.#values = new Float64Array(2 * size);
      this.#slopes = new Float64Array(2 * size);
    }
    for (let k = 0; k < causes.length; k++) {
      const { kind } = causes[k]!;
      this.#adds[k] = kind === 'gas' || kind === 'friction';
      if (kind === 'needle') {
        // Where it does not act; at the other points sizes say more.
        this.#values.fill(1, k * n, (k + 1) * n);
        this.#slopes.fill(0, k * n, (k + 1) * n);
      } else this.#fillSlopes(model, causes[k]!, k * n);
    }
    return this;
  }

  /** Takes these sizes. @returns the weighted sum of squares that they leave. */
  take(sizes: ArrayLike<number>): number {
    const { drifts, references, weights } = this.#model!;
    const n = drifts.length;
    const causes = this.#causes;
    for (let k = 0; k < causes.length; k++) {
      const cause = causes[k]!;
      if (cause.kind === 'needle') this.#fillNeedle(cause.adjuster, sizes[k]!, k * n);
      else this.#fillValues(sizes[k]!, this.#adds[k]! ? 0 : 1, k * n, n);
    }
    const values = this.#values;
    const rests = this.rests;
    let sum = 0;
    for (let i = 0; i < n; i++) {
      let force = 0;
      let factor = 1;
      for (let k = 0; k < causes.length; k++) {
        const value = values[k * n + i]!;
        if (this.#adds[k]!) force += value;
        else factor *= value;
      }
      const rest = drifts[i]! - (force + references[i]! * (factor - 1));
      rests[i] = rest;
      sum += weights[i]! * (rest * rest);
    }
    return sum;
  }

  /** Derivatives of the modelled drift of a point by every size, into `row`. */
  derivatives(i: number, row: Float64Array): void {
    const n = this.rests.length;
    const adds = this.#adds;
    const p = this.#causes.length;
    for (let k = 0; k < p; k++) {
      const slope = this.#slopes[k * n + i]!;
      if (adds[k]!) {
        row[k] = slope;
        continue;
      }
      let others = this.#model!.references[i]!;
      for (let j = 0; j < p; j++) if (j !== k && !adds[j]!) others *= this.#values[j * n + i]!;
      row[k] = others * slope;
    }
  }

  /** What a cause that grows with its size in a straight line does a unit of it. */
  #fillSlopes({ points, temperature }: DriftModel, cause: Cause, at: number): void {
    const slopes = this.#slopes;
    for (let i = 0; i < points.length; i++) {
      const { side } = points[i]!;
      if (cause.kind === 'friction') slopes[at + i] = SIDE_SIGN[side];
      else if (cause.kind === 'temperature') slopes[at + i] = temperature.value;
      else if (cause.kind === 'scale') slopes[at + i] = side === cause.side ? 1 : 0;
      else slopes[at + i] = 1;
    }
  }

  #fillValues(size: number, atZero: number, at: number, n: number): void {
    for (let i = at; i < at + n; i++) this.#values[i] = atZero + size * this.#slopes[i]!;
  }

  #fillNeedle(adjuster: number, size: number, at: number): void {
    const { points, needles } = this.#model!;
    for (const i of needles[adjuster]!.points) {
      const needle = points[i]!.needles[adjuster]!;
      needle.read(needle.set + size, this.#values, this.#slopes, at + i);
    }
  }
}

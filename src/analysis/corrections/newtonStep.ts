import { solvePositiveDefinite } from '../statistics/normalEquations';
import type { CauseEffects } from './causeEffects';

/** A column this close to the others' plane cannot be told from them. */
const NOT_SEPARABLE = 1e-9;

/** The step of Gauss and Newton from the sizes that effects are taken at. One object serves a step after the other, so that arrays are made once. */
export class NewtonStep {
  /** By cause. */
  change = new Float64Array(0);
  /** What the whole step takes off the sum of squares if the effects are straight lines. */
  promise = NaN;
  #p = 0;
  /** p x p, row by row, the lower triangle. */
  #cross = new Float64Array(0);
  #right = new Float64Array(0);
  #scale = new Float64Array(0);
  #row = new Float64Array(0);
  /** Solutions for the right side and for every unit vector, p x (p + 1), row by row. */
  #sides = new Float64Array(0);

  /** Turns to another number of causes. Arrays are as long as the most that were asked for: fits of one and two causes take turns. */
  begin(p: number): void {
    this.#p = p;
    if (this.change.length >= p) return;
    this.change = new Float64Array(p);
    this.#cross = new Float64Array(p * p);
    this.#right = new Float64Array(p);
    this.#scale = new Float64Array(p);
    this.#row = new Float64Array(p);
    this.#sides = new Float64Array(p * (p + 1));
  }

  /** @returns false where a cause does nothing or cannot be told from the others. */
  solve(weights: readonly number[], effects: CauseEffects): boolean {
    const p = this.#p;
    this.#sumUp(weights, effects);
    const cross = this.#cross;
    const scale = this.#scale;
    for (let a = 0; a < p; a++) {
      scale[a] = Math.sqrt(cross[a * p + a]!);
      if (!(scale[a]! > 0)) return false;
    }
    return this.#solveScaled();
  }

  /** (J' W J)^-1 at the last step. */
  covariance(): readonly (readonly number[])[] {
    const p = this.#p;
    const rows: number[][] = [];
    for (let a = 0; a < p; a++) {
      const row: number[] = [];
      for (let b = 0; b < p; b++) row.push(this.#sides[a * (p + 1) + 1 + b]! / (this.#scale[a]! * this.#scale[b]!));
      rows.push(row);
    }
    return rows;
  }

  #sumUp(weights: readonly number[], effects: CauseEffects): void {
    const p = this.#p;
    const cross = this.#cross;
    const right = this.#right;
    const row = this.#row;
    const { rests } = effects;
    cross.fill(0, 0, p * p);
    right.fill(0, 0, p);
    for (let i = 0; i < weights.length; i++) {
      effects.derivatives(i, row);
      const rest = rests[i]!;
      const weight = weights[i]!;
      for (let a = 0; a < p; a++) {
        const weighted = weight * row[a]!;
        right[a]! += weighted * rest;
        for (let b = 0; b <= a; b++) cross[a * p + b]! += weighted * row[b]!;
      }
    }
  }

  /** Solves on columns of unit length, so that newtons and clicks weigh alike in the test for columns that cannot be told apart. */
  #solveScaled(): boolean {
    const p = this.#p;
    const columns = p + 1;
    const cross = this.#cross;
    const scale = this.#scale;
    const sides = this.#sides;
    sides.fill(0, 0, p * columns);
    for (let a = 0; a < p; a++) {
      for (let b = 0; b <= a; b++) cross[a * p + b]! /= scale[a]! * scale[b]!;
      sides[a * columns] = this.#right[a]! / scale[a]!;
      sides[a * columns + 1 + a] = 1;
    }
    if (!solvePositiveDefinite(cross, sides, p, columns)) return false;
    for (let a = 0; a < p; a++) if (cross[a * p + a]! ** 2 < NOT_SEPARABLE) return false;
    this.promise = 0;
    for (let a = 0; a < p; a++) {
      this.change[a] = sides[a * columns]! / scale[a]!;
      this.promise += this.change[a]! * this.#right[a]!;
    }
    return true;
  }
}

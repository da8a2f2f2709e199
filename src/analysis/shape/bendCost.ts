import type { Bend } from './bendGrid';
import { ROUGH_ERROR, softPlus } from './softPlus';

/** Square of the share of the third column that the other two must leave: as leastSquares has it for its triangle. */
const LEAST_OWN_SHARE = 1e-26;
/** The rough sums lose more digits than that: below this share they say nothing. */
const LEAST_ROUGH_SHARE = 1e-9;
/** Rounding of the rough sums, as a share of what they are taken from. */
const ROUNDING = 1e-13;

/**
 * Weighted sum of squared residuals of `atZero + low v + bend s ln(1 + exp((v - knee)/s))`, s = softness x knee, least over its three
 * coefficients, as a function of knee and softness. The search asks for it some hundred times a side: what does not change with the
 * knee, constant and speed, is made orthogonal once (modified Gram-Schmidt, Golub and Van Loan, Matrix Computations, 5.2), and each
 * knee costs one more column.
 */
export class BendCost {
  /** How far the last answer of `rough` may be from the sum. */
  doubt = 0;
  #speeds: readonly number[] = [];
  #root = new Float64Array(0);
  /** Columns of unit length. */
  #constant = new Float64Array(0);
  #speed = new Float64Array(0);
  /** What constant and speed leave of the forces. */
  #left = new Float64Array(0);
  /** The bend's column, and its derivative by the knee. */
  #bend = new Float64Array(0);
  #byKnee = new Float64Array(0);
  #leftSquared = NaN;
  #rootSquared = NaN;
  #determined = false;

  /**
   * Turns to other points: one object serves a search after the other, so that columns are made once.
   *
   * @param speeds [m/s]. @param forces as many magnitudes [N]. @param weights 1 / variance up to a factor.
   */
  begin(speeds: readonly number[], forces: readonly number[], weights: readonly number[]): this {
    const n = speeds.length;
    if (this.#root.length !== n) {
      this.#root = new Float64Array(n);
      this.#constant = new Float64Array(n);
      this.#speed = new Float64Array(n);
      this.#left = new Float64Array(n);
      this.#bend = new Float64Array(n);
      this.#byKnee = new Float64Array(n);
    }
    for (let i = 0; i < n; i++) {
      const root = Math.sqrt(weights[i]!);
      this.#root[i] = root;
      this.#constant[i] = root;
      this.#speed[i] = root * speeds[i]!;
      this.#left[i] = root * forces[i]!;
    }
    this.#speeds = speeds;
    normalise(this.#constant);
    takeOff(this.#speed, this.#constant);
    this.#determined = dot(this.#speed, this.#speed) > 0;
    normalise(this.#speed);
    takeOff(this.#left, this.#constant);
    takeOff(this.#left, this.#speed);
    this.#leftSquared = dot(this.#left, this.#left);
    this.#rootSquared = dot(this.#root, this.#root);
    return this;
  }

  /** Weighted sum of squares that a straight line leaves; NaN where the speeds do not determine one. */
  get straightSum(): number {
    return this.#determined ? this.#leftSquared : NaN;
  }

  /**
   * How far the best line of any bend may differ from the forces in a weighted total of them, for a root of 1 of its sum of squares: what it
   * leaves is orthogonal to constant and speed, so that only the rest of the total's coefficients counts (Cauchy and Schwarz).
   *
   * @param total a coefficient a point.
   */
  reach(total: Float64Array): number {
    let whole = 0;
    let onConstant = 0;
    let onSpeed = 0;
    for (let i = 0; i < this.#root.length; i++) {
      const scaled = total[i]! / this.#root[i]!;
      whole += scaled * scaled;
      onConstant += scaled * this.#constant[i]!;
      onSpeed += scaled * this.#speed[i]!;
    }
    return Math.sqrt(Math.max(0, whole - onConstant * onConstant - onSpeed * onSpeed));
  }

  /** @returns Infinity where the three cannot be told apart. */
  sum({ knee, softness }: Bend): number {
    if (!this.#determined) return Infinity;
    const bend = this.#bend;
    const left = this.#left;
    const s = softness * knee;
    for (let i = 0; i < bend.length; i++) bend[i] = this.#root[i]! * s * softPlus((this.#speeds[i]! - knee) / s);
    const share = this.#shareOfBend();
    if (Number.isNaN(share)) return Infinity;
    let sum = 0;
    for (let i = 0; i < bend.length; i++) {
      const rest = left[i]! - share * bend[i]!;
      sum += rest * rest;
    }
    return sum;
  }

  /**
   * The same for the column of a grid that begins at `at`, and in `doubt` how far it may be off; 0 with infinite doubt where it cannot tell.
   * With the column in error by e, what it leaves of the forces turns by e / abs(column) at most.
   */
  rough(columns: Float64Array, at: number): number {
    const root = this.#root;
    const constant = this.#constant;
    const speed = this.#speed;
    const left = this.#left;
    let whole = 0;
    let onConstant = 0;
    let onSpeed = 0;
    let onLeft = 0;
    let i = 0;
    while (i < root.length && columns[at + i] === 0) i++; // a sharp bend leaves slower speeds as they are
    for (; i < root.length; i++) {
      const bend = root[i]! * columns[at + i]!;
      whole += bend * bend;
      onConstant += bend * constant[i]!;
      onSpeed += bend * speed[i]!;
      onLeft += bend * left[i]!;
    }
    const own = whole - onConstant * onConstant - onSpeed * onSpeed;
    if (!(own > LEAST_ROUGH_SHARE * whole)) {
      this.doubt = Infinity;
      return 0;
    }
    const turn = ROUGH_ERROR * Math.sqrt(this.#rootSquared / own);
    this.doubt = this.#leftSquared * (2 * turn + turn * turn + (ROUNDING * whole) / own);
    return this.#leftSquared - (onLeft * onLeft) / own;
  }

  /** Derivative of the sum by the knee, softness held: what the coefficients do to it is nothing at their best. */
  slope({ knee, softness }: Bend): number {
    const bend = this.#bend;
    const byKnee = this.#byKnee;
    const left = this.#left;
    const s = softness * knee;
    for (let i = 0; i < bend.length; i++) {
      const root = this.#root[i]!;
      const z = (this.#speeds[i]! - knee) / s;
      const plus = softPlus(z);
      bend[i] = root * s * plus;
      byKnee[i] = root * bendByKnee(z, plus, softness);
    }
    const share = this.#shareOfBend();
    let sum = 0;
    for (let i = 0; i < bend.length; i++) sum += (left[i]! - share * bend[i]!) * byKnee[i]!;
    return -2 * share * sum;
  }

  /** Takes off the bend's column what constant and speed hold of it. @returns its coefficient; NaN where nothing is left of it. */
  #shareOfBend(): number {
    const bend = this.#bend;
    const whole = dot(bend, bend);
    takeOff(bend, this.#constant);
    takeOff(bend, this.#speed);
    const own = dot(bend, bend);
    return own > LEAST_OWN_SHARE * whole ? dot(bend, this.#left) / own : NaN;
  }
}

/**
 * Derivative by the knee of s ln(1 + exp(z)), z = (v - knee) / s, with the softness held: s follows the knee.
 *
 * @param plus ln(1 + exp(z)).
 */
export function bendByKnee(z: number, plus: number, softness: number): number {
  const share = z > 37 ? 1 : z < -37 ? 0 : 1 / (1 + Math.exp(-z));
  return softness * plus - share * (1 + softness * z);
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

function takeOff(from: Float64Array, unit: Float64Array): void {
  const share = dot(from, unit);
  for (let i = 0; i < from.length; i++) from[i]! -= share * unit[i]!;
}

function normalise(column: Float64Array): void {
  const length = Math.sqrt(dot(column, column));
  if (length > 0) for (let i = 0; i < column.length; i++) column[i]! /= length;
}

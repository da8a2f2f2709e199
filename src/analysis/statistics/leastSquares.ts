import { factorise, solveFactorised } from './householder';

export interface LeastSquaresFit {
  /** One coefficient a column of the design. */
  readonly coefficients: readonly number[];
  /** Covariance of the coefficients, `residualVariance` included; NaN where n equals the number of coefficients. */
  readonly covariance: readonly (readonly number[])[];
  /** (X' W X)^-1: the covariance where the weights are 1 / variance. */
  readonly unscaledCovariance: readonly (readonly number[])[];
  /** Weighted sum of squared residuals. */
  readonly residualSumOfSquares: number;
  readonly degreesOfFreedom: number;
  /** residualSumOfSquares / degreesOfFreedom. */
  readonly residualVariance: number;
}

/**
 * Weighted linear least squares by Householder QR on columns scaled to unit length (Golub and Van Loan, Matrix Computations, 5.3).
 *
 * @param design n rows of p regressors.
 * @param observed n values.
 * @param weights n weights, 1 / variance up to a common factor; all 1 where absent. A weight of 0 leaves a row out.
 * @param p how many regressors of a row take part, from the first; all where absent.
 * @returns undefined where there are fewer rows than regressors, or regressors cannot be told apart.
 */
export function leastSquares(
  design: readonly ArrayLike<number>[],
  observed: ArrayLike<number>,
  weights?: ArrayLike<number>,
  p = design[0]?.length ?? 0,
): LeastSquaresFit | undefined {
  const n = design.length;
  const used = countUsed(n, weights);
  if (p === 0 || used < p) return undefined;
  if (!fillSystem(design, observed, weights, p)) return undefined;
  factorise(system, diagonal, n, p);
  for (let i = 0; i < p; i++) if (!(Math.abs(diagonal[i]!) > 1e-13)) return undefined;
  solveFactorised(system, diagonal, right, n, p);
  const coefficients: number[] = [];
  for (let j = 0; j < p; j++) coefficients.push(right[j]! / scale[j]!);
  let residualSumOfSquares = 0;
  for (let i = 0; i < n; i++) {
    const row = design[i]!;
    let rest = observed[i]!;
    for (let j = 0; j < p; j++) rest -= row[j]! * coefficients[j]!;
    residualSumOfSquares += (weights?.[i] ?? 1) * rest * rest;
  }
  const degreesOfFreedom = used - p;
  const residualVariance = degreesOfFreedom > 0 ? residualSumOfSquares / degreesOfFreedom : NaN;
  const unscaledCovariance = inverseOfCrossProduct(n, p);
  const covariance = unscaledCovariance.map((row) => row.map((value) => value * residualVariance));
  return {
    coefficients,
    covariance,
    unscaledCovariance,
    residualSumOfSquares,
    degreesOfFreedom,
    residualVariance,
  };
}

/** Made once and used by every fit in turn: the system column by column, R's diagonal, the right side, lengths of the columns. */
let system = new Float64Array(256);
let right = new Float64Array(64);
let diagonal = new Float64Array(8);
let scale = new Float64Array(8);
let inverse = new Float64Array(64);

function makeRoom(n: number, p: number): void {
  if (system.length < n * p) system = new Float64Array(2 * n * p);
  if (right.length < n) right = new Float64Array(2 * n);
  if (scale.length >= p) return;
  diagonal = new Float64Array(p);
  scale = new Float64Array(p);
  inverse = new Float64Array(p * p);
}

function countUsed(rows: number, weights: ArrayLike<number> | undefined): number {
  if (weights === undefined) return rows;
  let used = 0;
  for (let i = 0; i < rows; i++) if (weights[i]! > 0) used++;
  return used;
}

/** Weighted columns, each of unit length. @returns false where one has no length. */
function fillSystem(
  design: readonly ArrayLike<number>[],
  observed: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  p: number,
): boolean {
  const n = design.length;
  makeRoom(n, p);
  scale.fill(0, 0, p);
  for (let i = 0; i < n; i++) {
    const root = Math.sqrt(weights?.[i] ?? 1);
    const row = design[i]!;
    for (let j = 0; j < p; j++) {
      const value = row[j]! * root;
      system[j * n + i] = value;
      scale[j]! += value * value;
    }
    right[i] = observed[i]! * root;
  }
  for (let j = 0; j < p; j++) {
    const length = Math.sqrt(scale[j]!);
    if (!(length > 0)) return false;
    scale[j] = length;
    for (let i = j * n; i < (j + 1) * n; i++) system[i]! /= length;
  }
  return true;
}

/** (R'R)^-1 with the scaling of the columns taken off. */
function inverseOfCrossProduct(n: number, p: number): number[][] {
  for (let c = 0; c < p; c++) {
    for (let i = c; i >= 0; i--) {
      let sum = i === c ? 1 : 0;
      for (let k = i + 1; k <= c; k++) sum -= system[k * n + i]! * inverse[k * p + c]!;
      inverse[i * p + c] = sum / diagonal[i]!;
    }
  }
  const product: number[][] = [];
  for (let i = 0; i < p; i++) {
    const row: number[] = [];
    for (let j = 0; j < p; j++) {
      let sum = 0;
      for (let k = Math.max(i, j); k < p; k++) sum += inverse[i * p + k]! * inverse[j * p + k]!;
      row.push(sum / (scale[i]! * scale[j]!));
    }
    product.push(row);
  }
  return product;
}

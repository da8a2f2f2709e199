import { Matrix, QrDecomposition } from 'ml-matrix';

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
  /** Observed less fitted, unweighted. */
  readonly residuals: Float64Array;
}

/**
 * Weighted linear least squares by Householder QR on columns scaled to unit length (Golub and Van Loan, Matrix Computations, 5.3).
 *
 * @param design n rows of p regressors.
 * @param observed n values.
 * @param weights n weights, 1 / variance up to a common factor; all 1 where absent. A weight of 0 leaves a row out.
 * @returns undefined where there are fewer rows than regressors, or regressors cannot be told apart.
 */
export function leastSquares(
  design: readonly ArrayLike<number>[],
  observed: ArrayLike<number>,
  weights?: ArrayLike<number>,
): LeastSquaresFit | undefined {
  const p = design[0]?.length ?? 0;
  const used = countUsed(design.length, weights);
  if (p === 0 || used < p) return undefined;
  const { matrix, right, scale } = weightedSystem(design, observed, weights, p);
  if (scale.some((s) => !(s > 0))) return undefined;
  const qr = new QrDecomposition(matrix);
  const upper = qr.upperTriangularMatrix;
  for (let i = 0; i < p; i++) if (!(Math.abs(upper.get(i, i)) > 1e-13)) return undefined;
  const solution = qr.solve(right);
  const coefficients = scale.map((s, i) => solution.get(i, 0) / s);
  const residuals = new Float64Array(design.length);
  let residualSumOfSquares = 0;
  design.forEach((row, i) => {
    let rest = observed[i]!;
    for (let j = 0; j < p; j++) rest -= row[j]! * coefficients[j]!;
    residuals[i] = rest;
    residualSumOfSquares += (weights?.[i] ?? 1) * rest * rest;
  });
  const degreesOfFreedom = used - p;
  const residualVariance = degreesOfFreedom > 0 ? residualSumOfSquares / degreesOfFreedom : NaN;
  const unscaledCovariance = inverseOfCrossProduct(upper, scale);
  const covariance = unscaledCovariance.map((row) => row.map((value) => value * residualVariance));
  return {
    coefficients,
    covariance,
    unscaledCovariance,
    residualSumOfSquares,
    degreesOfFreedom,
    residualVariance,
    residuals,
  };
}

function countUsed(rows: number, weights: ArrayLike<number> | undefined): number {
  if (weights === undefined) return rows;
  let used = 0;
  for (let i = 0; i < rows; i++) if (weights[i]! > 0) used++;
  return used;
}

function weightedSystem(
  design: readonly ArrayLike<number>[],
  observed: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  p: number,
): { matrix: Matrix; right: Matrix; scale: number[] } {
  const rootWeights = design.map((_, i) => Math.sqrt(weights?.[i] ?? 1));
  const scale = Array.from({ length: p }, (_, j) =>
    Math.sqrt(design.reduce((sum, row, i) => sum + (row[j]! * rootWeights[i]!) ** 2, 0)),
  );
  const matrix = new Matrix(design.length, p);
  design.forEach((row, i) => {
    for (let j = 0; j < p; j++) matrix.set(i, j, (row[j]! * rootWeights[i]!) / scale[j]!);
  });
  const right = Matrix.columnVector(rootWeights.map((root, i) => observed[i]! * root));
  return { matrix, right, scale };
}

/** (R'R)^-1 with the scaling of the columns taken off. */
function inverseOfCrossProduct(upper: Matrix, scale: readonly number[]): number[][] {
  const p = scale.length;
  const inverse = scale.map(() => new Array<number>(p).fill(0));
  for (let c = 0; c < p; c++) {
    for (let i = c; i >= 0; i--) {
      let sum = i === c ? 1 : 0;
      for (let k = i + 1; k <= c; k++) sum -= upper.get(i, k) * inverse[k]![c]!;
      inverse[i]![c] = sum / upper.get(i, i);
    }
  }
  return scale.map((si, i) =>
    scale.map((sj, j) => {
      let sum = 0;
      for (let k = Math.max(i, j); k < p; k++) sum += inverse[i]![k]! * inverse[j]![k]!;
      return sum / (si * sj);
    }),
  );
}

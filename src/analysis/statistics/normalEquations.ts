/**
 * Solves A x = b in place for a small symmetric positive definite matrix by Cholesky's method, without allocating: for the fits that
 * run once a stroke. For fits that run once a log use `leastSquares`, which is better conditioned.
 *
 * @param a n x n, row by row; only its lower triangle is read; replaced by the factor L.
 * @param b n x columns, row by row; replaced by the solutions.
 * @returns false where A is not positive definite to working precision; then `a` and `b` hold nothing of use.
 */
export function solvePositiveDefinite(a: Float64Array, b: Float64Array, n: number, columns: number): boolean {
  return factorise(a, n) && substitute(a, b, n, columns);
}

function factorise(a: Float64Array, n: number): boolean {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      const before = a[i * n + j]!;
      let sum = before;
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!;
      if (i > j) a[i * n + j] = sum / a[j * n + j]!;
      else if (sum > before * 1e-13) a[i * n + i] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

function substitute(l: Float64Array, b: Float64Array, n: number, columns: number): boolean {
  for (let c = 0; c < columns; c++) {
    for (let i = 0; i < n; i++) {
      let sum = b[i * columns + c]!;
      for (let k = 0; k < i; k++) sum -= l[i * n + k]! * b[k * columns + c]!;
      b[i * columns + c] = sum / l[i * n + i]!;
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = b[i * columns + c]!;
      for (let k = i + 1; k < n; k++) sum -= l[k * n + i]! * b[k * columns + c]!;
      b[i * columns + c] = sum / l[i * n + i]!;
    }
  }
  return true;
}

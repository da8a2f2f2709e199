/** ln(1 + exp(x)) without overflow. Beyond 37 to either side the smaller part is below the last digit of a double. */
export function softPlus(x: number): number {
  if (x > 37) return x;
  if (x < -37) return Math.exp(x);
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x));
}

/**
 * Weighted sum of squared residuals of `atZero + low v + bend s ln(1 + exp((v - knee)/s))`, s = softness x knee, least over its three
 * coefficients, as a function of knee and softness. The search asks for it some hundred times a side: what does not change with the
 * knee, constant and speed, is made orthogonal once (modified Gram-Schmidt, Golub and Van Loan, Matrix Computations, 5.2), and each
 * knee costs one more column.
 *
 * @param speeds [m/s]. @param forces as many magnitudes [N]. @param weights 1 / variance up to a factor.
 * @returns Infinity where the three cannot be told apart.
 */
export function bendCost(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
): (knee: number, softness: number) => number {
  const n = speeds.length;
  const root = Float64Array.from(weights, Math.sqrt);
  const constant = normalised(root.slice());
  const speed = root.map((w, i) => w * speeds[i]!);
  takeOff(speed, constant);
  const speedLength = Math.sqrt(dot(speed, speed));
  normalised(speed);
  const left = root.map((w, i) => w * forces[i]!);
  takeOff(left, constant);
  takeOff(left, speed);
  const bend = new Float64Array(n);
  return (knee, softness) => {
    if (!(speedLength > 0)) return Infinity;
    const s = softness * knee;
    for (let i = 0; i < n; i++) bend[i] = root[i]! * s * softPlus((speeds[i]! - knee) / s);
    const whole = dot(bend, bend);
    takeOff(bend, constant);
    takeOff(bend, speed);
    const own = dot(bend, bend);
    if (!(own > LEAST_OWN_SHARE * whole)) return Infinity;
    const share = dot(bend, left) / own;
    let sum = 0;
    for (let i = 0; i < n; i++) sum += (left[i]! - share * bend[i]!) ** 2;
    return sum;
  };
}

/** Square of the share of the third column that the other two must leave: as leastSquares has it for its triangle. */
const LEAST_OWN_SHARE = 1e-26;

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

function takeOff(from: Float64Array, unit: Float64Array): void {
  const share = dot(from, unit);
  for (let i = 0; i < from.length; i++) from[i]! -= share * unit[i]!;
}

function normalised(column: Float64Array): Float64Array {
  const length = Math.sqrt(dot(column, column));
  if (length > 0) for (let i = 0; i < column.length; i++) column[i]! /= length;
  return column;
}

import { leastSquares } from './leastSquares';

/**
 * Weights of a Savitzky-Golay filter (Analytical Chemistry 36 (1964) 1627): the local polynomial's derivative at `position`, as a sum over
 * the window's samples at unit spacing.
 *
 * @param window number of samples. @param order degree of the polynomial, below `window`. @param derivative 0 smooths.
 * @param position where in the window the polynomial is read, 0 to window - 1; its middle where absent.
 */
export function savitzkyGolayWeights(
  window: number,
  order: number,
  derivative: number,
  position = (window - 1) / 2,
): Float64Array {
  if (!(Number.isInteger(window) && Number.isInteger(order) && order >= 0 && order < window)) {
    throw new RangeError(`a window of ${window} samples cannot hold a polynomial of degree ${order}`);
  }
  const weights = new Float64Array(window);
  if (derivative > order) return weights;
  const half = Math.max(1, (window - 1) / 2); // scaled to +-1 for conditioning
  const design = Array.from({ length: window }, (_, i) =>
    Array.from({ length: order + 1 }, (_unused, k) => ((i - position) / half) ** k),
  );
  let factor = 1;
  for (let k = 2; k <= derivative; k++) factor *= k;
  const inverse = leastSquares(design, weights)?.unscaledCovariance[derivative];
  if (inverse === undefined)
    throw new RangeError(`no polynomial of degree ${order} fits a window of ${window} samples`);
  design.forEach((row, i) => {
    weights[i] = (row.reduce((sum, value, k) => sum + value * inverse[k]!, 0) * factor) / half ** derivative;
  });
  return weights;
}

/**
 * Smoothing or derivative by local polynomials on evenly spaced values. The first and last half window are read off the polynomial of the
 * first and last full window, as SciPy's `savgol_filter` does by default.
 *
 * @param values at least `window` of them. @param window odd. @param delta spacing of the values.
 */
export function savitzkyGolay(
  values: ArrayLike<number>,
  window: number,
  order: number,
  derivative = 0,
  delta = 1,
): Float64Array {
  const n = values.length;
  if (window % 2 !== 1) throw new RangeError(`a Savitzky-Golay window is odd, not ${window}`);
  if (n < window) throw new RangeError(`${n} values are too few for a window of ${window}`);
  const half = (window - 1) / 2;
  const scale = 1 / delta ** derivative;
  const result = new Float64Array(n);
  const middle = savitzkyGolayWeights(window, order, derivative);
  for (let i = half; i < n - half; i++) result[i] = weighted(middle, values, i - half) * scale;
  for (let i = 0; i < half; i++) {
    result[i] = weighted(savitzkyGolayWeights(window, order, derivative, i), values, 0) * scale;
    const mirrored = savitzkyGolayWeights(window, order, derivative, window - 1 - i);
    result[n - 1 - i] = weighted(mirrored, values, n - window) * scale;
  }
  return result;
}

function weighted(weights: Float64Array, values: ArrayLike<number>, from: number): number {
  let sum = 0;
  for (let k = 0; k < weights.length; k++) sum += weights[k]! * values[from + k]!;
  return sum;
}

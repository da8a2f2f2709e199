/** Arithmetic mean; NaN of nothing. */
export function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i]!;
  return sum / values.length;
}

/** Variance with n - 1 in the denominator; 0 of one value, NaN of none. */
export function variance(values: ArrayLike<number>): number {
  const n = values.length;
  if (n === 1) return 0;
  const centre = mean(values);
  let sum = 0;
  for (let i = 0; i < n; i++) sum += (values[i]! - centre) ** 2;
  return sum / (n - 1);
}

export function standardDeviation(values: ArrayLike<number>): number {
  return Math.sqrt(variance(values));
}

/**
 * Quantile by linear interpolation between order statistics (Hyndman and Fan 1996, definition 7; NumPy's default).
 * @param share 0 to 1; clipped to that range. NaN of nothing.
 */
export function quantile(values: ArrayLike<number>, share: number): number {
  return quantileOfSorted(Float64Array.from(values).sort(), share);
}

/** The same for values already in rising order. */
export function quantileOfSorted(sorted: ArrayLike<number>, share: number): number {
  const n = sorted.length;
  if (n === 0) return NaN;
  const place = Math.min(1, Math.max(0, share)) * (n - 1);
  const below = Math.floor(place);
  const low = sorted[below]!;
  const high = sorted[Math.min(below + 1, n - 1)]!;
  return low + (high - low) * (place - below);
}

export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/** Arithmetic mean; NaN of nothing. */
export function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i]!;
  return sum / values.length;
}

/** Variance with n - 1 in the denominator; 0 of one value, NaN of none. */
export function variance(values: ArrayLike<number>): number {
  const n = values.length;
  if (n < 2) return n === 1 ? 0 : NaN;
  const centre = mean(values);
  let sum = 0;
  for (let i = 0; i < n; i++) sum += (values[i]! - centre) ** 2;
  return sum / (n - 1);
}

export function standardDeviation(values: ArrayLike<number>): number {
  return Math.sqrt(variance(values));
}

/**
 * Standard deviation from the differences of neighbours, blind to a slow trend: half the mean of their squares (von Neumann et al.,
 * Annals of Mathematical Statistics 12 (1941) 153). 0 of one value.
 */
export function successiveDeviation(values: ArrayLike<number>): number {
  const n = values.length;
  if (n < 2) return 0;
  let sum = 0;
  for (let i = 1; i < n; i++) sum += (values[i]! - values[i - 1]!) ** 2;
  return Math.sqrt(sum / (2 * (n - 1)));
}

/** Degrees of freedom of `successiveDeviation` of n independent normal values: its square has the relative variance (3n - 4) / (n - 1)^2. */
export function successiveFreedom(n: number): number {
  return n < 2 ? 0 : (2 * (n - 1) ** 2) / (3 * n - 4);
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

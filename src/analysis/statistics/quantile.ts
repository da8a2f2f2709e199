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
  const own = new Float64Array(values);
  const place = placeOf(share, own.length);
  const below = Math.floor(place);
  if (own.length < LONG || !select(own, below)) own.sort();
  else if (below + 1 < own.length) own[below + 1] = smallestFrom(own, below + 1);
  return between(own, place);
}

/** The same for values already in rising order. */
export function quantileOfSorted(sorted: ArrayLike<number>, share: number): number {
  return between(sorted, placeOf(share, sorted.length));
}

/** To put all of so many values in order takes longer than to find the one that is asked for. */
const LONG = 64;

/** Where a quantile lies among values in order, from 0. */
function placeOf(share: number, count: number): number {
  return Math.min(1, Math.max(0, share)) * (count - 1);
}

/** @param values those at the place and behind it stand where they belong in rising order */
function between(values: ArrayLike<number>, place: number): number {
  const n = values.length;
  if (n === 0) return NaN;
  const below = Math.floor(place);
  const low = values[below]!;
  const high = values[Math.min(below + 1, n - 1)]!;
  return low + (high - low) * (place - below);
}

/**
 * Moves values until the one at `place` is the one that belongs there in rising order, with none larger before it and none smaller behind
 * (Hoare 1961, algorithm 65 "Find", CACM 4, 321).
 *
 * @returns false where it gave up: some value is NaN, or they stand so that it would take longer than to sort them
 */
function select(values: Float64Array, place: number): boolean {
  let from = 0;
  let to = values.length - 1;
  for (let rounds = 0; from < to; rounds++) {
    if (rounds > MOST_ROUNDS) return false;
    const pivot = values[place]!;
    let i = from;
    let j = to;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (pivot < values[j]!) j--;
      if (Number.isNaN(values[i]!) || Number.isNaN(values[j]!) || Number.isNaN(pivot)) return false;
      if (i > j) break;
      const value = values[i]!;
      values[i++] = values[j]!;
      values[j--] = value;
    }
    if (j < place) from = i;
    if (place < i) to = j;
  }
  return true;
}

/** About four times what is usual of a million values. */
const MOST_ROUNDS = 100;

function smallestFrom(values: Float64Array, from: number): number {
  let least = Infinity;
  for (let i = from; i < values.length; i++) if (values[i]! < least) least = values[i]!;
  return least;
}

export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

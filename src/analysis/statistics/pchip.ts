/** Value and slope of an interpolating curve. */
export interface CurvePoint {
  readonly value: number;
  readonly slope: number;
}

/**
 * Shape-preserving piecewise cubic Hermite interpolation: between two data the curve never leaves their range (Fritsch and Butland,
 * SIAM J. Sci. Stat. Comput. 5 (1984) 300: weighted harmonic mean of the neighbouring slopes; ends by the one-sided three-point formula,
 * limited to keep the shape). Equal to SciPy's PchipInterpolator inside the data.
 *
 * @param x at least two strictly rising abscissae. @param y as many ordinates.
 * @returns the curve; outside the data it goes on in a straight line along the end's slope. Throws RangeError on bad input.
 */
export function interpolatePchip(x: ArrayLike<number>, y: ArrayLike<number>): (at: number) => CurvePoint {
  const curve = new PchipCurve(x, y);
  return (at) => ({ value: curve.value(at), slope: curve.slope(at) });
}

/**
 * The curve of `interpolatePchip`, for readers that want one of the two alone many times. Keeps its data and a slope at each and nothing else:
 * a review of a repository builds a curve for each side and setting of each result and reads it at a few places.
 */
export class PchipCurve {
  private readonly slopes: readonly number[];

  /** @param x, y not copied, and not to be changed afterwards */
  constructor(
    private readonly x: ArrayLike<number>,
    private readonly y: ArrayLike<number>,
  ) {
    const n = x.length;
    if (n < 2 || y.length !== n) throw new RangeError('a curve needs at least two points, with as many ordinates');
    for (let i = 1; i < n; i++) if (!(x[i]! > x[i - 1]!)) throw new RangeError('the abscissae of a curve must rise');
    this.slopes = pchipSlopes(x, y);
  }

  value(at: number): number {
    const { x, y, slopes } = this;
    const k = this.segment(at);
    const s = at - x[k]!;
    const slope = slopes[k]!;
    if (k === x.length - 1 || !(s > 0)) return y[k]! + slope * s;
    const h = x[k + 1]! - x[k]!;
    const chord = (y[k + 1]! - y[k]!) / h;
    const next = slopes[k + 1]!;
    return y[k]! + s * (slope + s * (second(h, chord, slope, next) + s * third(h, chord, slope, next)));
  }

  slope(at: number): number {
    const { x, y, slopes } = this;
    const k = this.segment(at);
    const s = at - x[k]!;
    const slope = slopes[k]!;
    if (k === x.length - 1 || !(s > 0)) return slope;
    const h = x[k + 1]! - x[k]!;
    const chord = (y[k + 1]! - y[k]!) / h;
    const next = slopes[k + 1]!;
    return slope + s * (2 * second(h, chord, slope, next) + 3 * s * third(h, chord, slope, next));
  }

  /** Both, written at an index of two arrays: for readers that want them so often that an object each would be most of the work. */
  read(at: number, values: Float64Array, slopesThere: Float64Array, i: number): void {
    const { x, y, slopes } = this;
    const k = this.segment(at);
    const s = at - x[k]!;
    const slope = slopes[k]!;
    if (k === x.length - 1 || !(s > 0)) {
      values[i] = y[k]! + slope * s;
      slopesThere[i] = slope;
      return;
    }
    const h = x[k + 1]! - x[k]!;
    const chord = (y[k + 1]! - y[k]!) / h;
    const next = slopes[k + 1]!;
    const square = second(h, chord, slope, next);
    const cube = third(h, chord, slope, next);
    values[i] = y[k]! + s * (slope + s * (square + s * cube));
    slopesThere[i] = slope + s * (2 * square + 3 * s * cube);
  }

  /** The datum at or below a place, the first one before all; the last one at and beyond the end. */
  private segment(at: number): number {
    const { x } = this;
    let low = 0;
    let high = x.length - 1;
    if (at >= x[high]!) return high;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (x[middle]! <= at) low = middle;
      else high = middle;
    }
    return low;
  }
}

/** Coefficient of the second power of the distance from a segment's start, from its width, chord and the slopes at its ends. */
function second(h: number, chord: number, slope: number, next: number): number {
  return (3 * chord - 2 * slope - next) / h;
}

/** Of the third power. */
function third(h: number, chord: number, slope: number, next: number): number {
  return (slope + next - 2 * chord) / (h * h);
}

/** Slopes at the data. */
function pchipSlopes(x: ArrayLike<number>, y: ArrayLike<number>): readonly number[] {
  const last = x.length - 1;
  let h0 = x[1]! - x[0]!;
  let before = (y[1]! - y[0]!) / h0;
  if (last === 1) return [before, before];
  let h1 = x[2]! - x[1]!;
  let after = (y[2]! - y[1]!) / h1;
  const slopes = [endSlope(h0, h1, before, after)];
  for (let i = 1; i < last; i++) {
    if (i > 1) {
      h0 = h1;
      before = after;
      h1 = x[i + 1]! - x[i]!;
      after = (y[i + 1]! - y[i]!) / h1;
    }
    // A turning point of the data is one of the curve.
    slopes.push(before * after <= 0 ? 0 : harmonicMean(h0, h1, before, after));
  }
  slopes.push(endSlope(h1, h0, after, before));
  return slopes;
}

function harmonicMean(h0: number, h1: number, before: number, after: number): number {
  const w1 = 2 * h1 + h0;
  const w2 = h1 + 2 * h0;
  return (w1 + w2) / (w1 / before + w2 / after);
}

function endSlope(h0: number, h1: number, chord0: number, chord1: number): number {
  const slope = ((2 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
  if (slope * chord0 <= 0) return 0;
  if (chord0 * chord1 <= 0 && Math.abs(slope) > 3 * Math.abs(chord0)) return 3 * chord0;
  return slope;
}

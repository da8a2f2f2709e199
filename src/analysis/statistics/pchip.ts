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
  const n = x.length;
  if (n < 2 || y.length !== n) throw new RangeError('a curve needs at least two points, with as many ordinates');
  for (let i = 1; i < n; i++) if (!(x[i]! > x[i - 1]!)) throw new RangeError('the abscissae of a curve must rise');
  const xs = Float64Array.from(x);
  const ys = Float64Array.from(y);
  const slopes = pchipSlopes(xs, ys);
  return (at) => {
    if (!(at > xs[0]!)) return { value: ys[0]! + slopes[0]! * (at - xs[0]!), slope: slopes[0]! };
    if (at >= xs[n - 1]!) return { value: ys[n - 1]! + slopes[n - 1]! * (at - xs[n - 1]!), slope: slopes[n - 1]! };
    let low = 0;
    let high = n - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (xs[middle]! <= at) low = middle;
      else high = middle;
    }
    return hermite(xs[high]! - xs[low]!, ys[low]!, ys[high]!, slopes[low]!, slopes[high]!, at - xs[low]!);
  };
}

function hermite(h: number, y0: number, y1: number, d0: number, d1: number, s: number): CurvePoint {
  const chord = (y1 - y0) / h;
  const c = (3 * chord - 2 * d0 - d1) / h;
  const b = (d0 + d1 - 2 * chord) / (h * h);
  return { value: y0 + s * (d0 + s * (c + s * b)), slope: d0 + s * (2 * c + 3 * s * b) };
}

function pchipSlopes(x: Float64Array, y: Float64Array): Float64Array {
  const n = x.length;
  const h = Float64Array.from({ length: n - 1 }, (_, i) => x[i + 1]! - x[i]!);
  const chord = Float64Array.from({ length: n - 1 }, (_, i) => (y[i + 1]! - y[i]!) / h[i]!);
  if (n === 2) return Float64Array.of(chord[0]!, chord[0]!);
  const slopes = new Float64Array(n);
  for (let i = 1; i < n - 1; i++) {
    const before = chord[i - 1]!;
    const after = chord[i]!;
    if (before * after <= 0) continue; // a turning point of the data is one of the curve
    const w1 = 2 * h[i]! + h[i - 1]!;
    const w2 = h[i]! + 2 * h[i - 1]!;
    slopes[i] = (w1 + w2) / (w1 / before + w2 / after);
  }
  slopes[0] = endSlope(h[0]!, h[1]!, chord[0]!, chord[1]!);
  slopes[n - 1] = endSlope(h[n - 2]!, h[n - 3]!, chord[n - 2]!, chord[n - 3]!);
  return slopes;
}

function endSlope(h0: number, h1: number, chord0: number, chord1: number): number {
  const slope = ((2 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
  if (slope * chord0 <= 0) return 0;
  if (chord0 * chord1 <= 0 && Math.abs(slope) > 3 * Math.abs(chord0)) return 3 * chord0;
  return slope;
}

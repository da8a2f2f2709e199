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

/** The curve of `interpolatePchip`, for readers that want one of the two alone many times. */
export class PchipCurve {
  private readonly x: number[] = [];
  private readonly y: number[] = [];
  private readonly slopes: readonly number[];
  /** Of every segment, the coefficients of the second and third power of the distance from its start. */
  private readonly second: number[] = [];
  private readonly third: number[] = [];

  constructor(x: ArrayLike<number>, y: ArrayLike<number>) {
    const n = x.length;
    if (n < 2 || y.length !== n) throw new RangeError('a curve needs at least two points, with as many ordinates');
    for (let i = 0; i < n; i++) {
      if (i > 0 && !(x[i]! > x[i - 1]!)) throw new RangeError('the abscissae of a curve must rise');
      this.x.push(x[i]!);
      this.y.push(y[i]!);
    }
    const widths: number[] = [];
    const chords: number[] = [];
    for (let i = 0; i < n - 1; i++) {
      const h = x[i + 1]! - x[i]!;
      widths.push(h);
      chords.push((y[i + 1]! - y[i]!) / h);
    }
    const slopes = pchipSlopes(widths, chords);
    for (let i = 0; i < n - 1; i++) {
      const h = widths[i]!;
      this.second.push((3 * chords[i]! - 2 * slopes[i]! - slopes[i + 1]!) / h);
      this.third.push((slopes[i]! + slopes[i + 1]! - 2 * chords[i]!) / (h * h));
    }
    this.slopes = slopes;
  }

  value(at: number): number {
    const k = this.segment(at);
    const s = at - this.x[k]!;
    if (k === this.second.length || !(s > 0)) return this.y[k]! + this.slopes[k]! * s;
    return this.y[k]! + s * (this.slopes[k]! + s * (this.second[k]! + s * this.third[k]!));
  }

  slope(at: number): number {
    const k = this.segment(at);
    const s = at - this.x[k]!;
    if (k === this.second.length || !(s > 0)) return this.slopes[k]!;
    return this.slopes[k]! + s * (2 * this.second[k]! + 3 * s * this.third[k]!);
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

/** Slopes at the data. @param widths, chords of the segments between them */
function pchipSlopes(widths: readonly number[], chords: readonly number[]): readonly number[] {
  const last = chords.length - 1;
  if (last === 0) return [chords[0]!, chords[0]!];
  const slopes = [endSlope(widths[0]!, widths[1]!, chords[0]!, chords[1]!)];
  for (let i = 1; i <= last; i++) {
    const before = chords[i - 1]!;
    const after = chords[i]!;
    if (before * after <= 0) {
      slopes.push(0); // a turning point of the data is one of the curve
      continue;
    }
    const w1 = 2 * widths[i]! + widths[i - 1]!;
    const w2 = widths[i]! + 2 * widths[i - 1]!;
    slopes.push((w1 + w2) / (w1 / before + w2 / after));
  }
  slopes.push(endSlope(widths[last]!, widths[last - 1]!, chords[last]!, chords[last - 1]!));
  return slopes;
}

function endSlope(h0: number, h1: number, chord0: number, chord1: number): number {
  const slope = ((2 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
  if (slope * chord0 <= 0) return 0;
  if (chord0 * chord1 <= 0 && Math.abs(slope) > 3 * Math.abs(chord0)) return 3 * chord0;
  return slope;
}

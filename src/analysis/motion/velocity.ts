const LEAST_WINDOW = 5;

/** Window of the derivative: the odd number of samples nearest to rate / (12 f), at least 5. */
export function velocityWindow(sampleInterval: number, frequency: number): number {
  const wanted = 1 / (12 * frequency * sampleInterval);
  return Math.max(LEAST_WINDOW, 2 * Math.round((wanted - 1) / 2) + 1);
}

/**
 * First derivative by Savitzky-Golay, order 3, of samples `from` to `to` (excluded), written into `out` at the same positions.
 * Samples `low` to `end` (excluded) may be read; nearer than half a window to them the outermost window's polynomial is read off its
 * middle. The window shrinks to what there is.
 */
export function differentiate(
  x: Float64Array,
  out: Float64Array,
  from: number,
  to: number,
  low: number,
  end: number,
  sampleInterval: number,
  window: number,
): void {
  const longest = end - low - ((end - low + 1) % 2);
  const size = Math.min(window, longest);
  if (size < LEAST_WINDOW) {
    for (let i = from; i < to; i++) out[i] = plainSlope(x, i, low, end) / sampleInterval;
    return;
  }
  const half = (size - 1) / 2;
  const first = Math.max(from, low + half);
  const last = Math.min(to, end - half);
  runMoments(x, out, first, last, half, sampleInterval);
  if (from < first) readEdge(x, out, from, Math.min(first, to), low + half, half, sampleInterval);
  if (last < to) readEdge(x, out, Math.max(last, from), to, end - 1 - half, half, sampleInterval);
}

function plainSlope(x: Float64Array, i: number, low: number, end: number): number {
  const before = Math.max(low, i - 1);
  const after = Math.min(end - 1, i + 1);
  return after > before ? (x[after]! - x[before]!) / (after - before) : 0;
}

/** Slopes of the cubic through the window about `centre`, read at positions `from` to `to`. */
function readEdge(
  x: Float64Array,
  out: Float64Array,
  from: number,
  to: number,
  centre: number,
  half: number,
  sampleInterval: number,
): void {
  const { s2, s4, s6 } = powerSums(half);
  const n = 2 * half + 1;
  const origin = x[centre]!;
  let m0 = 0;
  let m1 = 0;
  let m2 = 0;
  let m3 = 0;
  for (let j = -half; j <= half; j++) {
    const y = x[centre + j]! - origin;
    m0 += y;
    m1 += j * y;
    m2 += j * j * y;
    m3 += j * j * j * y;
  }
  const odd = s2 * s6 - s4 * s4;
  const c1 = (s6 * m1 - s4 * m3) / odd;
  const c2 = (n * m2 - s2 * m0) / (n * s4 - s2 * s2);
  const c3 = (s2 * m3 - s4 * m1) / odd;
  for (let i = from; i < to; i++) {
    const j = i - centre;
    out[i] = (c1 + j * (2 * c2 + 3 * c3 * j)) / sampleInterval;
  }
}

/** Sums of j^2, j^4 and j^6 over -half .. half. */
function powerSums(half: number): { s2: number; s4: number; s6: number } {
  let s2 = 0;
  let s4 = 0;
  let s6 = 0;
  for (let j = 1; j <= half; j++) {
    const square = j * j;
    s2 += 2 * square;
    s4 += 2 * square * square;
    s6 += 2 * square * square * square;
  }
  return { s2, s4, s6 };
}

/**
 * The derivative at the middle of a window is a M1 + b M3 with the moments Mk = sum j^k x[i + j]. Moving on by one sample changes each
 * moment by its lower ones and the samples that come and go, so that the cost does not grow with the window. The moments are summed
 * afresh every few windows, before rounding adds up.
 */
function runMoments(x: Float64Array, out: Float64Array, from: number, to: number, half: number, dt: number): void {
  const { s2, s4, s6 } = powerSums(half);
  const scale = 1 / ((s2 * s6 - s4 * s4) * dt);
  const a = s6 * scale;
  const b = -s4 * scale;
  const in1 = half;
  const in2 = in1 * in1;
  const in3 = in2 * in1;
  const out1 = half + 1;
  const out2 = out1 * out1;
  const out3 = out2 * out1;
  const span = Math.max(16, 2 * half);
  for (let start = from; start < to; start += span) {
    const origin = x[start]!;
    let m0 = 0;
    let m1 = 0;
    let m2 = 0;
    let m3 = 0;
    for (let j = -half; j <= half; j++) {
      const y = x[start + j]! - origin;
      m0 += y;
      m1 += j * y;
      m2 += j * j * y;
      m3 += j * j * j * y;
    }
    out[start] = a * m1 + b * m3;
    const stop = Math.min(to, start + span);
    for (let i = start + 1; i < stop; i++) {
      // Shift j to j - 1, drop the sample that leaves at j = -half - 1, take the one that comes at j = half.
      const leaves = x[i - half - 1]! - origin;
      const comes = x[i + half]! - origin;
      m3 += -3 * m2 + 3 * m1 - m0 + out3 * leaves + in3 * comes;
      m2 += -2 * m1 + m0 - out2 * leaves + in2 * comes;
      m1 += -m0 + out1 * leaves + in1 * comes;
      m0 += comes - leaves;
      out[i] = a * m1 + b * m3;
    }
  }
}

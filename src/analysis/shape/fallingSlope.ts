import type { BendCost } from './bendCost';
import type { BendGrid } from './bendGrid';
import { KNEES, SOFTNESS } from './bendGrid';
import { DIGRESSIVE_BELOW } from './sideShape';

/**
 * How much a line with a knee up to one of the grid may leave and be digressive for certain, as the root of its sum of squares: every line that
 * leaves less falls from low to high speeds by enough, and not below zero. 0 where none is certain.
 * With its slope a below the knee and b above, its mean slope over some speeds is a (1 - m) + b m, where m, the same mean of the bend's own
 * slope 1 / (1 + exp(-z)), rises with speed. Over low speeds L and high ones H, b < 0 < a means H < q L with q = (1 - mH) / (1 - mL), and q
 * rises with the knee, as the derivative of ln(1 - 1 / (1 + exp(-z))) by it rises with speed.
 *
 * @param cost begun with these forces, at the speeds of the grid.
 */
export function digressiveWithin(cost: BendCost, grid: BendGrid, knee: number, forces: ArrayLike<number>): number {
  const n = grid.speeds.length;
  makeRoom(n);
  fillMeanSlope(low, grid.speeds, 0, Math.floor(n / 3));
  fillMeanSlope(high, grid.speeds, n - Math.floor(n / 2), n);
  let quotient = 0;
  for (let row = 0; row < SOFTNESS.length; row++) {
    const at = grid.column(row * KNEES + knee);
    const scale = grid.knee(knee) * SOFTNESS[row]!;
    const above = 1 - scale * valueOf(high, grid.columns, at);
    const below = 1 - scale * valueOf(low, grid.columns, at);
    quotient = Math.max(quotient, above / below);
  }
  quotient += QUOTIENT_ERROR;
  if (!(quotient < DIGRESSIVE_BELOW)) return 0;
  // Both above zero: 0 < q L < H < 0.8 L.
  for (let i = 0; i < n; i++) {
    falls[i] = DIGRESSIVE_BELOW * low[i]! - high[i]!;
    stays[i] = high[i]! - quotient * low[i]!;
  }
  const within = Math.min(valueOf(falls, forces, 0) / cost.reach(falls), valueOf(stays, forces, 0) / cost.reach(stays));
  return within > 0 ? within : 0;
}

/** Of the table of ln(1 + exp(z)), far above what it is. */
const QUOTIENT_ERROR = 1e-6;

/** A coefficient a point, for totals of forces. Made once. */
let low = new Float64Array(0);
let high = new Float64Array(0);
let falls = new Float64Array(0);
let stays = new Float64Array(0);

function makeRoom(n: number): void {
  if (low.length === n) return;
  low = new Float64Array(n);
  high = new Float64Array(n);
  falls = new Float64Array(n);
  stays = new Float64Array(n);
}

/**
 * Mean slope of a curve over some of its points as a total of its forces: mean of the faster half less that of the slower one, over the distance
 * of their speeds. Of any curve it is a mean of its slopes between the first and the last of these points, none counted below zero; not finite
 * where they have one speed.
 */
function fillMeanSlope(total: Float64Array, speeds: readonly number[], from: number, to: number): void {
  total.fill(0);
  const half = (to - from) >> 1;
  let distance = 0;
  for (let i = 0; i < half; i++) distance += speeds[to - 1 - i]! - speeds[from + i]!;
  for (let i = 0; i < half; i++) {
    total[from + i] = -1 / distance;
    total[to - 1 - i] = 1 / distance;
  }
}

function valueOf(total: Float64Array, values: ArrayLike<number>, at: number): number {
  let sum = 0;
  for (let i = 0; i < total.length; i++) sum += total[i]! * values[at + i]!;
  return sum;
}

import { goldenSection } from '../statistics/goldenSection';
import { BendCost } from './bendCost';
import type { Bend, BendGrid } from './bendGrid';
import { bendGridOf, KNEES, SOFTNESS, STRIDES } from './bendGrid';

/**
 * The bend whose best line leaves least: of a grid, then between the neighbours of the best one there, since the sum of squares has more
 * than one dip.
 *
 * The grid is gone through by a rough sum of squares with a bound for what it may be wrong by; in full are taken only those that may be the
 * least: 1 or 2 instead of 180 for most curves, which takes 15 instead of 150 µs for 12 points.
 *
 * @returns undefined where constant, slope and bend cannot be told apart.
 */
export function bestBend(
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
): Bend | undefined {
  const grid = bendGridOf(speeds);
  cost.begin(speeds, forces, weights);
  tryRoughly(grid);
  let most = Infinity;
  for (let index = 0; index < least.length; index++) {
    const atMost = 2 * rough[index]! - least[index]!;
    if (atMost < most) most = atMost;
  }
  let best: Bend | undefined;
  let smallest = Infinity;
  for (let index = 0; index < least.length; index++) {
    if (!(least[index]! <= most)) continue;
    const bend = grid.bend(index);
    const sum = cost.sum(bend);
    if (!(sum < smallest)) continue;
    best = bend;
    smallest = sum;
  }
  if (best === undefined) return undefined;
  const from = Math.max(grid.first, best.knee / grid.cell);
  const to = Math.min(grid.last, best.knee * grid.cell);
  const refined = { softness: best.softness, knee: lowestBetween(grid, best.softness, from, to) };
  return cost.sum(refined) <= smallest * (1 + REFINED_ROUNDING) ? refined : best;
}

/** Where there are two dips between the neighbours, the sections may end in the shallower one: the result never leaves more than the grid's best. */
export const REFINED_ROUNDING = 1e-6;

const cost = new BendCost();
/** The rough sum of each bend of the grid, and the least that it may be in full; infinite where it was not tried. Made once. */
const rough = new Float64Array(SOFTNESS.length * KNEES);
const least = new Float64Array(SOFTNESS.length * KNEES);

/**
 * Tries the bends of the grid: the sharp ones all; of soft ones, whose sums change over several knees, every second or fourth, and what lies
 * around those that leave less than both of theirs.
 */
function tryRoughly(grid: BendGrid): void {
  rough.fill(Infinity);
  least.fill(Infinity);
  for (let row = 0; row < SOFTNESS.length; row++) {
    const stride = STRIDES[row]!;
    const first = row * KNEES;
    const last = first + KNEES - 1;
    for (let index = first; index < last; index += stride) tryOne(grid, index);
    tryOne(grid, last);
    if (stride === 1) continue;
    let before = Infinity;
    for (let index = first; index < last; index += stride) {
      const next = Math.min(index + stride, last);
      const here = rough[index]!;
      if (here <= before && here <= rough[next]!)
        for (let near = Math.max(first, index - stride) + 1; near < next; near++)
          if (near !== index) tryOne(grid, near);
      before = here;
    }
    if (rough[last]! <= before) for (let near = last - stride + 1; near < last; near++) tryOne(grid, near);
  }
}

function tryOne(grid: BendGrid, index: number): void {
  const sum = cost.rough(grid.columns, grid.column(index));
  rough[index] = sum;
  least[index] = sum - cost.doubt;
}

/** Golden sections by the rough sum: they narrow two cells of the grid to 1/300 of them. */
const ROUGH_SECTIONS = 12;

/**
 * Place of the dip: golden sections by the rough sum come near it, then the slope's zero is exact to the last digits, where a search by
 * the sum alone ends at half of them. At the end of the range, or where rounding hides the dip, the sections go on by the full sum.
 */
function lowestBetween(grid: BendGrid, softness: number, from: number, to: number): number {
  const near = goldenSection(
    (knee) => cost.rough(grid.columns, grid.columnBeside(knee, softness)),
    from,
    to,
    ROUGH_SECTIONS,
  );
  const width = (to - from) * WIDTH_LEFT;
  return (
    zeroBetween((knee) => cost.slope({ knee, softness }), Math.max(from, near - width), Math.min(to, near + width)) ??
    goldenSection((knee) => cost.sum({ knee, softness }), from, to)
  );
}

/** What the rough sections leave, to either side: twice their last width, for what the rough sum may be wrong by. */
const WIDTH_LEFT = ((Math.sqrt(5) - 1) / 2) ** ROUGH_SECTIONS;
const MOST_SECANTS = 20;
/** A secant that moves the place by less than this share of it is the last one: the next would move it by a thousandth of that at most. */
const SETTLED = 1e-7;

/**
 * Where a function goes from below zero to above it, by secants that keep it between two places (Illinois method: Dowell and Jarratt, BIT 11
 * (1971) 168). @returns undefined where it does not.
 */
function zeroBetween(slope: (at: number) => number, from: number, to: number): number | undefined {
  let low = from;
  let high = to;
  let below = slope(low);
  let above = slope(high);
  if (!(below < 0 && above > 0)) return undefined;
  let at = low;
  let lastSign = 0;
  for (let step = 0; step < MOST_SECANTS; step++) {
    const before = at;
    at = high - (above * (high - low)) / (above - below);
    if (Math.abs(at - before) <= SETTLED * high) break;
    const value = slope(at);
    const sign = Math.sign(value);
    if (sign === 0) break;
    if (sign < 0) {
      low = at;
      below = value;
      if (lastSign < 0) above /= 2;
    } else {
      high = at;
      above = value;
      if (lastSign > 0) below /= 2;
    }
    lastSign = sign;
  }
  return at;
}

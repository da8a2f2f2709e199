import { goldenSection } from '../statistics/goldenSection';
import { BendCost } from './bendCost';
import type { Bend, BendGrid } from './bendGrid';
import { bendGridOf, KNEES, SOFTNESS } from './bendGrid';

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
  const cost = new BendCost(speeds, forces, weights);
  const most = tryRoughly(grid, cost);
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
  return { softness: best.softness, knee: lowestBetween(cost, grid, best.softness, from, to) };
}

/** The rough sum of each bend of the grid, and the least that it may be in full; infinite where it was not tried. Made once. */
const rough = new Float64Array(SOFTNESS.length * KNEES);
const least = new Float64Array(SOFTNESS.length * KNEES);

/**
 * Tries the bends of the grid: the sharp ones all; of soft ones, whose sums change over several knees, every second, and the neighbours of
 * those that leave less than both of theirs.
 *
 * @returns what the best one leaves at most.
 */
function tryRoughly(grid: BendGrid, cost: BendCost): number {
  let most = Infinity;
  const tryOne = (index: number): void => {
    const sum = cost.rough(grid.columns, grid.column(index));
    rough[index] = sum;
    least[index] = sum - cost.doubt;
    if (sum + cost.doubt < most) most = sum + cost.doubt;
  };
  least.fill(Infinity);
  for (let index = 0; index < KNEES; index++) tryOne(index);
  for (let row = KNEES; row < least.length; row += KNEES) {
    const end = row + KNEES - 1;
    for (let index = row; index < end; index += 2) tryOne(index);
    tryOne(end);
    for (let index = row; index < end; index += 2) {
      const before = index === row ? Infinity : rough[index - 2]!;
      const after = rough[Math.min(index + 2, end)]!;
      if (rough[index]! > before || rough[index]! > after) continue;
      if (index > row) tryOne(index - 1);
      if (index + 1 < end) tryOne(index + 1);
    }
  }
  return most;
}

/** Golden sections by the rough sum: they narrow two cells of the grid to 1/50 of them. */
const ROUGH_SECTIONS = 8;

/**
 * Place of the dip: golden sections by the rough sum come near it, then the slope's zero is exact to the last digits, where a search by
 * the sum alone ends at half of them. At the end of the range, or where rounding hides the dip, the sections go on by the full sum.
 */
function lowestBetween(cost: BendCost, grid: BendGrid, softness: number, from: number, to: number): number {
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
/** A secant that moves the place by less than this share of it is the last one: the next would move it by its square. */
const SETTLED = 1e-10;

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

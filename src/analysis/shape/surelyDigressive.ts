import { BendCost } from './bendCost';
import type { BendGrid } from './bendGrid';
import { bendGridOf, KNEES, SHARP, STRIDES } from './bendGrid';
import { REFINED_ROUNDING } from './bendSearch';
import type { SideCurve } from './sideCurve';
import { distinctSpeeds } from './sideCurve';
import { digressiveWithin } from './fallingSlope';
import { chanceOfBend, LEAST_SPEEDS, SIGNIFICANCE } from './sideShape';
import { NOTHING_BEYOND } from './softPlus';

/**
 * Whether `shapeOfCurve` would surely call a curve digressive, or leave it undecided: in a twentieth of its time, without the fit. False says
 * nothing.
 *
 * The fit takes the bend that leaves least, so that it leaves no more than any bend of its grid that it tries; that alone decides its F test.
 * Of all lines that leave so little, a bound for what they may differ from the points (Cauchy and Schwarz) tells that their slope at high
 * speeds is smaller than at low ones by enough. That the slope above the knee is not below zero needs the knee to lie well below the high
 * speeds: every bend of the grid with a higher knee must leave more (docs/method.md, 'shape unchanged without a fit').
 */
export function isSurelyDigressive(curve: SideCurve): boolean {
  const { speeds, forces, weights } = curve;
  if (distinctSpeeds(curve) < LEAST_SPEEDS) return false;
  const grid = bendGridOf(speeds);
  cost.begin(speeds, forces, weights);
  const near = nearSoftest(grid);
  const most = leastNear(grid, near) * (1 + ROUNDING);
  if (!(chanceOfBend(cost.straightSum, most, speeds.length) < SIGNIFICANCE)) return false;
  const highest = Math.min(near + FARTHER, HIGHEST);
  return (
    digressiveWithin(cost, grid, highest + 1, forces) > Math.sqrt(most) &&
    leaveMoreWhenSoftest(grid, highest, most) &&
    leaveMoreWhenSoft(grid, highest, most) &&
    leaveMoreWhenSharp(grid, curve, highest, most)
  );
}

const cost = new BendCost();
/** Rows of the grid. */
const [SHARPEST, SOFT, SOFTEST] = [0, 1, 2];
const WIDE = STRIDES[SOFTEST]!;
/** So far beyond the best of the softest bends the knee of the least one may lie. */
const FARTHER = 3 * WIDE;
/** The last knee but one that is tried with the softest bends. */
const HIGHEST = KNEES - 1 - ((KNEES - 1) % WIDE);
/** What the fit may leave more than its grid, and rounding. */
const ROUNDING = 2 * REFINED_ROUNDING;

/** Sums that the softest bends leave, of those that the fit tries first, and their doubts; the last knee's is not among them. Made once. */
const softest = new Float64Array(HIGHEST / WIDE + 1);
const doubts = new Float64Array(HIGHEST / WIDE + 1);

/** The knee of the softest bends, among those that the fit tries first, that leaves least. */
function nearSoftest(grid: BendGrid): number {
  let best = 0;
  for (let at = 0; at < softest.length; at++) {
    softest[at] = roughly(grid, SOFTEST, at * WIDE);
    doubts[at] = cost.doubt;
    if (softest[at]! < softest[best]!) best = at;
  }
  return best * WIDE;
}

/** The least that is known to be left by one of the bends about the best of the softest, of those that the fit tries first. */
function leastNear(grid: BendGrid, near: number): number {
  let least = softest[near / WIDE]! + doubts[near / WIDE]!;
  for (let row = SHARPEST; row < SOFTEST; row++) {
    const stride = STRIDES[row]!;
    for (let knee = Math.max(0, near - stride); knee <= near + stride && knee < KNEES; knee += stride) {
      const sum = roughly(grid, row, knee) + cost.doubt;
      if (sum < least) least = sum;
    }
  }
  return least;
}

/** Whether all of the softest bends with a knee above one of the grid, of those that the fit would try there, leave more. */
function leaveMoreWhenSoftest(grid: BendGrid, highest: number, most: number): boolean {
  for (let at = highest / WIDE; at < softest.length; at++) {
    // The fit looks between two only where there is a dip.
    if (!(softest[at]! > softest[at - 1]!)) return false;
    if (at > highest / WIDE && !(softest[at]! - doubts[at]! > most)) return false;
  }
  const last = roughly(grid, SOFTEST, KNEES - 1);
  return last > softest[softest.length - 1]! && last - cost.doubt > most;
}

/** The same of the next softest ones. */
function leaveMoreWhenSoft(grid: BendGrid, highest: number, most: number): boolean {
  const stride = STRIDES[SOFT]!;
  let before = roughly(grid, SOFT, highest - stride);
  for (let knee = highest; ; knee = Math.min(knee + stride, KNEES - 1)) {
    const sum = roughly(grid, SOFT, knee);
    if (!(sum > before)) return false;
    if (knee > highest && !(sum - cost.doubt > most)) return false;
    if (knee === KNEES - 1) return true;
    before = sum;
  }
}

/**
 * Whether all sharp bends with a knee above one of the grid leave more: those with a knee far above some slow points leave these on a straight
 * line, and what they are off it already is more; of others each is tried.
 */
function leaveMoreWhenSharp(grid: BendGrid, curve: SideCurve, highest: number, most: number): boolean {
  const unbent = speedOffLine(curve, CLEARLY * most) / (1 - NOTHING_BEYOND * SHARP);
  for (let knee = highest + 1; knee < KNEES; knee++) {
    if (grid.knee(knee) > unbent) return true;
    if (!(roughly(grid, SHARPEST, knee) - cost.doubt > most)) return false;
  }
  return true;
}

/** The least speed up to which the points are off any straight line by more than a sum of squares; infinite where there is none. */
function speedOffLine({ speeds, forces, weights }: SideCurve, sum: number): number {
  let total = 0;
  let speed = 0;
  let force = 0;
  let bySpeed = 0;
  let byBoth = 0;
  let byForce = 0;
  // Weighted sums about the means so far (West, Communications of the ACM 22 (1979) 532).
  for (let i = 0; i < speeds.length; i++) {
    const weight = weights[i]!;
    total += weight;
    const offSpeed = speeds[i]! - speed;
    const offForce = forces[i]! - force;
    speed += (offSpeed * weight) / total;
    force += (offForce * weight) / total;
    bySpeed += weight * offSpeed * (speeds[i]! - speed);
    byBoth += weight * offSpeed * (forces[i]! - force);
    byForce += weight * offForce * (forces[i]! - force);
    if (byForce - (byBoth * byBoth) / bySpeed > sum) return speeds[i]!;
  }
  return Infinity;
}

/** What the farthest tails of a bend may take off. */
const CLEARLY = 1.1;

function roughly(grid: BendGrid, row: number, knee: number): number {
  return cost.rough(grid.columns, grid.column(row * KNEES + knee));
}

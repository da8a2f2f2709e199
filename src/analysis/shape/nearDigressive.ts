import { leastSquares } from '../statistics/leastSquares';
import { BendCost } from './bendCost';
import type { Bend, BendGrid } from './bendGrid';
import { bendGridOf, KNEES, SOFTNESS, STRIDES } from './bendGrid';
import { REFINED_ROUNDING } from './bendSearch';
import { digressiveWithin } from './fallingSlope';
import { chanceOfBend, LEAST_SPEEDS, SIGNIFICANCE } from './sideShape';
import { WEIGHT_FLOOR } from './sideCurve';
import { softPlus } from './softPlus';

/**
 * The curves about one that is digressive, such as a reference's, which are digressive as well whatever bend their fit would end with: told by
 * how far their forces and speeds are from its own, in a twentieth of the time that `isSurelyDigressive` takes for each.
 *
 * All distances are lengths of relative differences, sqrt(sum (x / F)^2), the weights of the fit. With forces f = c F (1 + r) at speeds
 * v = p (1 + e), a line of two slopes through (v, f) is one through (p, F) once forces are divided by c and speeds by the quotient q of the
 * two knees at one place of both grids: softness and quotient of slopes stay. What it leaves there is what it left, times 1 + max |r|,
 * and |r| more, and what its slope makes of p - v / q, where q is 1 within the e of second and second-last speed. No slope of it is above
 * max(|a|, |b|) + 5/4 |a - b|, a and b the slopes of its first and last chord: mean slopes of the bend over these are at most and at
 * least 1/2, and differ by 2/5 or more where the second-last speed is 9 times the second one. A chord differs from that of F by what the
 * line leaves at its two ends (Cauchy and Schwarz). So a bound for what the fit leaves of f bounds what its line leaves of F;
 * where that is below what every line must leave that is not digressive, it is (docs/method.md, 'shape unchanged by nearness').
 */
export class NearDigressive {
  private constructor(
    readonly speeds: readonly number[],
    readonly forces: readonly number[],
    /** How far a line may be off F and is digressive for certain. */
    private readonly within: number,
    /** What the best straight line leaves of F. */
    private readonly straight: number,
    private readonly bent: BestBend,
    private readonly steepest: Steepness,
  ) {}

  /**
   * @param speeds rising [m/s]. @param forces as many magnitudes [N].
   * @returns undefined where the curve is not digressive by enough, or its speeds or forces are not such that the bounds hold.
   */
  static about(speeds: readonly number[], forces: readonly number[]): NearDigressive | undefined {
    const n = speeds.length;
    if (n < LEAST_SPEEDS || !areApart(speeds) || !(speeds[n - 2]! >= LEAST_RANGE * speeds[1]!)) return undefined;
    if (!forces.every((force) => force >= WEIGHT_FLOOR)) return undefined;
    const weights = forces.map((force) => 1 / (force * force));
    const grid = bendGridOf(speeds);
    cost.begin(speeds, forces, weights);
    const { sums, best } = tried(grid);
    const bent = lineOf(grid.bend(best), speeds, forces, weights);
    const within = widest(grid, forces, sums, best % KNEES) / (1 + REFINED_ROUNDING);
    if (bent === undefined || !(within > bent.left)) return undefined;
    return new NearDigressive(speeds, forces, within, Math.sqrt(cost.straightSum), bent, steepnessOf(speeds, forces));
  }

  /**
   * False says nothing.
   *
   * @param speeds as many as there are here [m/s]; more room may be behind them. @param forces magnitudes [N].
   */
  holds(speeds: ArrayLike<number>, forces: ArrayLike<number>): boolean {
    const n = this.speeds.length;
    let total = 0;
    let squares = 0;
    let least = Infinity;
    let most = 0;
    let moved = 0;
    let slow = 0;
    let off = 0;
    for (let i = 0; i < n; i++) {
      const force = forces[i]!;
      const before = off;
      off = speeds[i]! / this.speeds[i]! - 1;
      const ratio = force / this.forces[i]!;
      if (!(Math.abs(off) <= MOST_OFF) || !(force >= WEIGHT_FLOOR)) return false;
      if (ratio < least) least = ratio;
      if (ratio > most) most = ratio;
      total += ratio;
      squares += ratio * ratio;
      const share = (off * this.speeds[i]!) / this.forces[i]!;
      moved += share * share;
      if (i === 1) slow = Math.abs(off);
      if (i === n - 1) slow = Math.max(slow, Math.abs(before));
    }
    const mean = total / n;
    const length = Math.sqrt(Math.max(0, squares / (mean * mean) - n)) + ROUNDING;
    const largest = Math.max(most / mean - 1, 1 - least / mean);
    return this.isWithin(length, largest, (Math.sqrt(moved) + slow * this.steepest.length) / (1 - slow));
  }

  /** @param length of r. @param largest of it. @param moved length of (p - v / q) / F, which a slope makes a force of [m/s/N] */
  private isWithin(length: number, largest: number, moved: number): boolean {
    const { slope, doubt } = this.steepest;
    const steeper = 1 - moved * doubt;
    if (!(largest < 1) || !(steeper > 0)) return false;
    const left = (this.bent.left + length + moved * this.bent.slope) / (1 - largest);
    const line = (left * (1 + largest) + length + moved * slope) / steeper;
    if (!(line < this.within)) return false;
    const straight = (this.straight * steeper - length - moved * slope) / (1 + largest);
    return straight > 0 && chanceOfBend(straight * straight, left * left, this.speeds.length) < SIGNIFICANCE;
  }
}

/** A line of two slopes: what it leaves, and the larger of them. */
interface BestBend {
  readonly left: number;
  readonly slope: number;
}

/** The largest slope of a line that leaves nothing, how much it may be more for a unit of what one leaves, and the length of p / F. */
interface Steepness {
  readonly slope: number;
  readonly doubt: number;
  readonly length: number;
}

const cost = new BendCost();
/** Second-last over second speed. */
const LEAST_RANGE = 9;
/** A speed this far off is another one; those here are farther apart. */
const MOST_OFF = 0.005;
const LEAST_STEP = 0.02;
/** Of the sums that a length is made of. */
const ROUNDING = 1e-6;

function areApart(speeds: readonly number[]): boolean {
  if (!(speeds[0]! > 0)) return false;
  for (let i = 1; i < speeds.length; i++) if (!(speeds[i]! > speeds[i - 1]! * (1 + LEAST_STEP))) return false;
  return true;
}

/** The least that any bend with a knee of the grid leaves, by knee; and the index of the best bend of those that every fit tries first. */
function tried(grid: BendGrid): { readonly sums: Float64Array; readonly best: number } {
  const sums = new Float64Array(KNEES).fill(Infinity);
  let least = Infinity;
  let best = 0;
  for (let row = 0; row < SOFTNESS.length; row++) {
    for (let knee = 0; knee < KNEES; knee++) {
      const index = row * KNEES + knee;
      const sum = cost.rough(grid.columns, grid.column(index));
      if (sum - cost.doubt < sums[knee]!) sums[knee] = sum - cost.doubt;
      if (knee % STRIDES[row]! !== 0 || !(sum + cost.doubt < least)) continue;
      least = sum + cost.doubt;
      best = index;
    }
  }
  return { sums, best };
}

/** Undefined where the three coefficients cannot be told apart. */
function lineOf(
  { knee, softness }: Bend,
  speeds: readonly number[],
  forces: readonly number[],
  weights: readonly number[],
): BestBend | undefined {
  const s = softness * knee;
  const fit = leastSquares(
    speeds.map((speed) => [1, speed, s * softPlus((speed - knee) / s)]),
    forces,
    weights,
  );
  if (fit === undefined) return undefined;
  const [, low, bend] = fit.coefficients as [number, number, number];
  return { left: Math.sqrt(fit.residualSumOfSquares), slope: Math.max(Math.abs(low), Math.abs(low + bend)) };
}

/**
 * The distance within which every line is digressive: with a knee up to one of the grid by its slopes, with a higher one as it leaves more; for
 * the knee with which that is most.
 */
function widest(grid: BendGrid, forces: readonly number[], sums: Float64Array, best: number): number {
  let above = Infinity;
  const leftAbove = sums.map(() => 0);
  for (let knee = KNEES - 1; knee > best; knee--) {
    above = Math.min(above, sums[knee]!);
    leftAbove[knee - 1] = above > 0 ? Math.sqrt(above) : 0;
  }
  let within = 0;
  for (let knee = best; knee < KNEES - 1; knee++) {
    if (!(leftAbove[knee]! > within)) continue;
    const falling = digressiveWithin(cost, grid, knee + 1, forces);
    within = Math.max(within, Math.min(falling, leftAbove[knee]!));
    if (falling <= leftAbove[knee]!) break;
  }
  return within;
}

/** By the first and the last chord. */
function steepnessOf(speeds: readonly number[], forces: readonly number[]): Steepness {
  const last = speeds.length - 1;
  const a = chord(speeds, forces, 1);
  const b = chord(speeds, forces, last);
  let squares = 0;
  for (let i = 0; i <= last; i++) squares += (speeds[i]! / forces[i]!) ** 2;
  return {
    slope: Math.max(Math.abs(a.slope), Math.abs(b.slope)) + BEYOND * Math.abs(a.slope - b.slope),
    doubt: Math.max(a.doubt, b.doubt) + BEYOND * Math.hypot(a.doubt, b.doubt),
    length: Math.sqrt(squares),
  };
}

/** 1/2 over 2/5. */
const BEYOND = 1.25;

/** Slope of the straight line to a point from the one before, and how far a line's may differ, for a unit of what it leaves. */
function chord(speeds: readonly number[], forces: readonly number[], i: number): { slope: number; doubt: number } {
  const step = speeds[i]! - speeds[i - 1]!;
  return { slope: (forces[i]! - forces[i - 1]!) / step, doubt: Math.hypot(forces[i]!, forces[i - 1]!) / step };
}

import type { TravelBins } from '../reducedLog';
import { TRAVEL_BINS } from '../reducedLog';

const HALF = TRAVEL_BINS / 2;
/** Expected damping below this share of its largest says nothing for or against a void. */
const TELLING_SHARE = 0.05;
/** During a void force stays level: its standard deviation over the middle of it is below this share of what is missing. */
const LEVEL_SHARE = 0.2;
/** A void takes off this share at least of the squared force that is missing in it; a force that merely passes zero takes off less. */
const LEAST_GAIN_SHARE = 0.3;
const LEAST_GAIN_SHARE_OF_FORCE = 0.6;
/** During play the root mean square of force is below this share of what is missing. */
const NEAR_ZERO = 0.35;
/** Smallest step of force at the end of a void whose own level is unknown: share of the whole damping of both sides, and [N]. */
const LEAST_RISE_SHARE = 0.05;
const LEAST_RISE = 15;

export interface StepVoid {
  /** Travel after the reversal without damping force [m]; 0 where there is none. */
  readonly length: number;
  /** Load cell's force while it lasts, middle of it, gas slope still in it [N]; NaN without a void. */
  readonly force: number;
  /** Displacement from mid-stroke where `force` stands [m]. */
  readonly displacement: number;
  /** Mean magnitude that the mirrored stroke makes over the same travel [N]. */
  readonly expected: number;
  /** Squared error that the void takes off, summed over samples [N^2]. */
  readonly gain: number;
}

/** A force, or what is left of it, from displacement and force of a bin. */
export type BinValue = (displacement: number, force: number) => number;

const NO_VOID: StepVoid = { length: 0, force: NaN, displacement: NaN, expected: 0, gain: 0 };

/**
 * Void after a reversal in one stroke: the change point g in travel that minimises the squared error of "zero up to g, then E", with E
 * the same stroke mirrored in time about its peak speed: the sum over travel below g of 2 D E - E^2.
 *
 * @param damping magnitude, friction taken off.
 * @param stroke travel between turning points [m]. @param noise of force [N].
 */
export function voidInStroke(bins: TravelBins, damping: BinValue, stroke: number, noise: number): StepVoid {
  const expected = mirrored(bins, damping).map((e) => Math.max(0, e));
  const largest = expected.reduce((a, b) => Math.max(a, b), 0);
  let telling = 0;
  let filled = 0;
  const found = changePoint(bins, expected, damping, (b) => {
    filled++;
    if (expected[b]! > TELLING_SHARE * largest) telling++;
    return telling >= filled / 2;
  });
  return describe(bins, expected, damping, stroke, noise, enough(bins, expected, found, LEAST_GAIN_SHARE));
}

/**
 * Travel after the reversal with no force at all, gas included, whatever gas level is: what play in mounting or rod end leaves. The same
 * change point with the load cell's force itself, of either sign, in place of damping.
 */
export function zeroForceInStroke(bins: TravelBins, force: BinValue, stroke: number, noise: number): StepVoid {
  const expected = mirrored(bins, force);
  const found = changePoint(bins, expected, force, () => true);
  if (!staysNearZero(bins, expected, force, found.end)) return NO_VOID;
  return describe(bins, expected, force, stroke, noise, enough(bins, expected, found, LEAST_GAIN_SHARE_OF_FORCE));
}

/** Force that only passes through zero on its way is no play. */
function staysNearZero(bins: TravelBins, expected: Float64Array, force: BinValue, end: number): boolean {
  let squares = 0;
  let missing = 0;
  let n = 0;
  for (let b = Math.floor(0.2 * end); b < Math.max(1, 0.9 * end); b++) {
    const count = bins.count[b]!;
    if (!(count > 0)) continue;
    const f = force(bins.displacement[b]!, bins.force[b]!);
    squares += count * f * f;
    missing += count * Math.abs(expected[b]! - f);
    n += count;
  }
  return Math.sqrt(squares / n) <= NEAR_ZERO * (missing / n);
}

function enough(bins: TravelBins, expected: Float64Array, found: ChangePoint, share: number): ChangePoint {
  let most = 0;
  for (let b = 0; b < found.end; b++) most += bins.count[b]! * expected[b]! ** 2;
  return found.gain >= share * most ? found : { end: 0, gain: 0 };
}

/**
 * The same where the level of "no damping" is not known: the change point that minimises the squared error of "one level up to g, then
 * E", the level being the mean force up to g. A level that does not lie clearly below E is no void.
 *
 * @param damping magnitude up to an unknown constant.
 * @param whole damping of both sides together, the distance between their forces at peak speed [N].
 * @param carriedOver travel at the start that is left out, as lag carries force over from before the corner [m].
 */
export function voidOfUnknownLevel(
  bins: TravelBins,
  damping: BinValue,
  stroke: number,
  noise: number,
  whole: number,
  carriedOver: number,
): StepVoid {
  const expected = mirrored(bins, damping);
  const least = Math.max(LEAST_RISE, LEAST_RISE_SHARE * whole);
  let n = 0;
  let sum = 0;
  let squares = 0;
  let expectedSum = 0;
  let gapSquares = 0;
  let best: ChangePoint = { end: 0, gain: 0 };
  for (let b = Math.floor((carriedOver / stroke) * TRAVEL_BINS); b < HALF; b++) {
    const count = bins.count[b]!;
    if (!(count > 0)) continue;
    const d = damping(bins.displacement[b]!, bins.force[b]!);
    n += count;
    sum += count * d;
    squares += count * d * d;
    expectedSum += count * expected[b]!;
    gapSquares += count * (d - expected[b]!) ** 2;
    const gain = gapSquares - (squares - (sum * sum) / n);
    if (gain > best.gain && (expectedSum - sum) / n > least) best = { end: b + 1, gain };
  }
  return describe(bins, expected, damping, stroke, noise, best);
}

function mirrored(bins: TravelBins, value: BinValue): Float64Array {
  return bins.mirroredForce.map((f, b) => (bins.count[b]! > 0 ? value(bins.mirroredDisplacement[b]!, f) : 0));
}

interface ChangePoint {
  /** Number of bins before it. */
  readonly end: number;
  readonly gain: number;
}

/** Where the sum of n (2 D E - E^2) is smallest; nowhere if it never falls below zero or `mayEndAt` is false there. */
function changePoint(
  bins: TravelBins,
  expected: Float64Array,
  value: BinValue,
  mayEndAt: (bin: number) => boolean,
): ChangePoint {
  let sum = 0;
  let best: ChangePoint = { end: 0, gain: 0 };
  for (let b = 0; b < HALF; b++) {
    const n = bins.count[b]!;
    if (!(n > 0)) continue;
    const e = expected[b]!;
    sum += n * e * (2 * value(bins.displacement[b]!, bins.force[b]!) - e);
    const may = mayEndAt(b);
    if (-sum > best.gain) best = { end: may ? b + 1 : 0, gain: -sum };
  }
  return best;
}

/** Force over the middle of the void, clear of reversal and end; no void where it is not level there. */
function describe(
  bins: TravelBins,
  expected: Float64Array,
  value: BinValue,
  stroke: number,
  noise: number,
  { end, gain }: ChangePoint,
): StepVoid {
  if (end === 0) return NO_VOID;
  const from = Math.floor(0.5 * end);
  const to = Math.max(from + 1, Math.ceil(0.9 * end));
  let force = 0;
  let displacement = 0;
  let n = 0;
  let filled = 0;
  let sum = 0;
  let squares = 0;
  let missing = 0;
  let all = 0;
  let allExpected = 0;
  for (let b = 0; b < end; b++) {
    const count = bins.count[b]!;
    if (!(count > 0)) continue;
    all += count;
    allExpected += count * Math.abs(expected[b]!);
    if (b < from || b >= to) continue;
    const d = value(bins.displacement[b]!, bins.force[b]!);
    n += count;
    filled++;
    sum += count * d;
    squares += count * d * d;
    missing += count * (expected[b]! - d);
    force += count * bins.force[b]!;
    displacement += count * bins.displacement[b]!;
  }
  const ofNoise = (noise * noise * filled) / n;
  const deviation = Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2 - ofNoise));
  if (n > 0 && deviation > LEVEL_SHARE * Math.abs(missing / n)) return NO_VOID;
  const length = (end * stroke) / TRAVEL_BINS;
  return { length, force: force / n, displacement: displacement / n, expected: allExpected / all, gain };
}

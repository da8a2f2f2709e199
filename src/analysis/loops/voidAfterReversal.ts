import type { TravelBins } from '../reducedLog';
import { TRAVEL_BINS } from '../reducedLog';

const HALF = TRAVEL_BINS / 2;
/** Expected damping below this share of its largest says nothing for or against a void. */
const TELLING_SHARE = 0.05;

export interface StepVoid {
  /** Travel after the reversal without damping force [m]; 0 where there is none. */
  readonly length: number;
  /** Load cell's force while it lasts, middle of it, gas slope still in it [N]; NaN without a void. */
  readonly force: number;
  /** Displacement from mid-stroke where `force` stands [m]. */
  readonly displacement: number;
  /** Mean damping that the mirrored stroke makes over the same travel [N]. */
  readonly expected: number;
}

const NO_VOID: StepVoid = { length: 0, force: NaN, displacement: NaN, expected: 0 };

/**
 * Void after a reversal in one stroke: the change point g in travel that minimises the squared error of "zero up to g, then E", with E
 * the same stroke mirrored in time about its peak speed: the sum over travel below g of 2 D E - E^2.
 *
 * @param damping magnitude from displacement and force of a bin, friction taken off.
 * @param stroke travel between turning points [m].
 */
export function voidInStroke(
  bins: TravelBins,
  damping: (displacement: number, force: number) => number,
  stroke: number,
): StepVoid {
  const expected = new Float64Array(HALF);
  let largest = 0;
  for (let b = 0; b < HALF; b++) {
    if (!(bins.count[b]! > 0)) continue;
    expected[b] = Math.max(0, damping(bins.mirroredDisplacement[b]!, bins.mirroredForce[b]!));
    if (expected[b]! > largest) largest = expected[b]!;
  }
  let sum = 0;
  let best = 0;
  let end = 0;
  let telling = 0;
  let filled = 0;
  let tellingAtEnd = 0;
  for (let b = 0; b < HALF; b++) {
    const n = bins.count[b]!;
    if (!(n > 0)) continue;
    const e = expected[b]!;
    filled++;
    if (e > TELLING_SHARE * largest) telling++;
    sum += n * e * (2 * damping(bins.displacement[b]!, bins.force[b]!) - e);
    if (sum < best) {
      best = sum;
      end = b + 1;
      tellingAtEnd = telling / filled;
    }
  }
  if (end === 0 || tellingAtEnd < 0.5) return NO_VOID;
  return { length: (end * stroke) / TRAVEL_BINS, ...middleOf(bins, expected, end) };
}

/** Force over the middle of the void, clear of reversal and end. */
function middleOf(bins: TravelBins, expected: Float64Array, end: number): Omit<StepVoid, 'length'> {
  let force = 0;
  let displacement = 0;
  let n = 0;
  let sum = 0;
  let all = 0;
  const from = Math.floor(0.3 * end);
  const to = Math.max(from + 1, Math.ceil(0.8 * end));
  for (let b = 0; b < end; b++) {
    const count = bins.count[b]!;
    if (!(count > 0)) continue;
    sum += count * expected[b]!;
    all += count;
    if (b < from || b >= to) continue;
    force += count * bins.force[b]!;
    displacement += count * bins.displacement[b]!;
    n += count;
  }
  return { force: force / n, displacement: displacement / n, expected: sum / all };
}

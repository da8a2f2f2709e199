import { PchipCurve } from '../statistics/pchip';
import type { CurvePoint } from '../statistics/pchip';

/** What one adjuster does to one damping force: its size over that at the position as set, and the slope of it a unit. */
export class NeedleCurve {
  /** Ends of the sweep. */
  readonly least: number;
  readonly most: number;
  readonly #curve: PchipCurve;
  readonly #logarithmic: boolean;
  readonly #asSet: number;
  /** Slope at the position as set, where every fit starts. */
  readonly #slopeAsSet: number;

  /** @param set position as set, in the adjuster's own unit. @param curve damping over positions; its logarithm where so told. */
  constructor(
    readonly set: number,
    [least, most]: readonly [number, number],
    curve: PchipCurve,
    logarithmic: boolean,
  ) {
    this.least = least;
    this.most = most;
    this.#curve = curve;
    this.#logarithmic = logarithmic;
    this.#asSet = curve.value(set);
    this.#slopeAsSet = logarithmic ? curve.slope(set) : curve.slope(set) / this.#asSet;
  }

  /** @param position in the adjuster's own unit; at a stop nothing changes any more. */
  ratio(position: number): CurvePoint {
    this.read(position, ratioThere, slopeThere, 0);
    return { value: ratioThere[0]!, slope: slopeThere[0]! };
  }

  /** The same, written at an index of two arrays. */
  read(position: number, ratios: Float64Array, slopes: Float64Array, i: number): void {
    if (position === this.set) {
      ratios[i] = 1;
      slopes[i] = this.#slopeAsSet;
      return;
    }
    const held = Math.min(this.most, Math.max(this.least, position));
    this.#curve.read(held, ratios, slopes, i);
    const ratio = this.#logarithmic ? Math.exp(ratios[i]! - this.#asSet) : ratios[i]! / this.#asSet;
    ratios[i] = ratio;
    if (held !== position) slopes[i] = 0;
    else slopes[i] = this.#logarithmic ? ratio * slopes[i]! : slopes[i]! / this.#asSet;
  }
}

/** Made once. */
const ratioThere = new Float64Array(1);
const slopeThere = new Float64Array(1);

/**
 * The curve through a sweep of one adjuster at one side and speed: monotone cubic in ln |D|, so that clicks that each take off a share come
 * out even; in D itself where its sign changes on the way.
 *
 * @param positions rising, at least two, in the adjuster's own unit. @param damping force at each [N].
 * @param set the position as set.
 * @returns undefined where the position as set lies outside the sweep, or damping there is zero.
 */
export function needleCurve(
  positions: readonly number[],
  damping: readonly number[],
  set: number,
): NeedleCurve | undefined {
  const least = positions[0];
  const most = positions.at(-1);
  if (least === undefined || most === undefined || positions.length < 2 || set < least || set > most) return undefined;
  const sign = Math.sign(damping[0]!);
  const logs: number[] = [];
  for (const force of damping) if (sign !== 0 && Math.sign(force) === sign) logs.push(Math.log(force * sign));
  const logarithmic = logs.length === damping.length;
  const curve = new PchipCurve(positions, logarithmic ? logs : damping);
  if (!logarithmic && curve.value(set) === 0) return undefined;
  return new NeedleCurve(set, [least, most], curve, logarithmic);
}

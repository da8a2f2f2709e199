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
  /** Every fit starts here. */
  readonly #unmoved: CurvePoint;

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
    this.#unmoved = { value: 1, slope: logarithmic ? curve.slope(set) : curve.slope(set) / this.#asSet };
  }

  /** @param position in the adjuster's own unit; at a stop nothing changes any more. */
  ratio(position: number): CurvePoint {
    if (position === this.set) return this.#unmoved;
    const held = Math.min(this.most, Math.max(this.least, position));
    const value = this.#curve.value(held);
    const ratio = this.#logarithmic ? Math.exp(value - this.#asSet) : value / this.#asSet;
    if (held !== position) return { value: ratio, slope: 0 };
    const slope = this.#curve.slope(held);
    return { value: ratio, slope: this.#logarithmic ? ratio * slope : slope / this.#asSet };
  }
}

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

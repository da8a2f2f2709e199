import { interpolatePchip } from '../statistics/pchip';
import type { CurvePoint } from '../statistics/pchip';

/** What one adjuster does to one damping force: its size over that at the position as set, and the slope of it a unit. */
export interface NeedleCurve {
  /** Position as set, in the adjuster's own unit. */
  readonly set: number;
  /** Ends of the sweep. */
  readonly least: number;
  readonly most: number;
  /** @param position in the adjuster's own unit; at a stop nothing changes any more. */
  ratio(position: number): CurvePoint;
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
  const logarithmic = sign !== 0 && damping.every((force) => Math.sign(force) === sign);
  const curve = interpolatePchip(positions, logarithmic ? damping.map((force) => Math.log(force * sign)) : damping);
  const { value: asSet, slope: slopeAsSet } = curve(set);
  if (!logarithmic && asSet === 0) return undefined;
  // Every fit starts here.
  const unmoved: CurvePoint = { value: 1, slope: logarithmic ? slopeAsSet : slopeAsSet / asSet };
  return {
    set,
    least,
    most,
    ratio(position) {
      if (position === set) return unmoved;
      const held = Math.min(most, Math.max(least, position));
      const { value, slope } = curve(held);
      const ratio = logarithmic ? Math.exp(value - asSet) : value / asSet;
      if (held !== position) return { value: ratio, slope: 0 };
      return { value: ratio, slope: logarithmic ? ratio * slope : slope / asSet };
    },
  };
}

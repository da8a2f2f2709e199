import type { SideShape } from '../analysis/shape/sideShape';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { Setting } from '../files/spec';
import { CurveShape } from './curveShape';
import type { JudgedPoint } from './judgedResult';
import { hasOtherBasis } from './otherBasis';
import type { ResultShape, SideRatio } from './resultShape';
import { sameSetting } from './sameSetting';
import { sideRatios } from './sideRatios';

interface SideCurves {
  readonly own?: CurveShape;
  readonly reference?: CurveShape;
}

/**
 * Shape of both sides at a setting of a result, each part worked out when it is first asked for: a fit takes some 50 µs, so that four of them a
 * result were an eighth of a check of thousands, where no face shows the shape of most.
 */
export class SettingShape implements ResultShape {
  /** Shapes of the reference's curves. */
  readonly reference: ResultShape['reference'];
  readonly #points: readonly JudgedPoint[];
  #curves: Readonly<Record<Side, SideCurves>> | undefined;
  #ratios: readonly SideRatio[] | undefined;

  /** @param points of the whole result. */
  constructor(
    readonly setting: Setting,
    points: readonly JudgedPoint[],
  ) {
    this.#points = points;
    this.reference = new ReferenceShape((side) => this.#sides[side].reference?.shape);
  }

  get compression(): SideShape | undefined {
    return this.#sides.compression.own?.shape;
  }

  get rebound(): SideShape | undefined {
    return this.#sides.rebound.own?.shape;
  }

  get piston(): string | undefined {
    const [compression, rebound] = [this.compression?.kind, this.rebound?.kind];
    if (compression === undefined || rebound === undefined) return undefined;
    return compression === 'undecided' || rebound === 'undecided' ? undefined : `${compression}/${rebound}`;
  }

  get ratios(): readonly SideRatio[] {
    return (this.#ratios ??= sideRatios(pointsAt(this.#points, this.setting)));
  }

  /**
   * Whether the curves of a side, as far as they are there, are digressive without any doubt, or have too few points to be of a kind: told in a
   * tenth of the time of their shapes. False says nothing.
   */
  isSurelyDigressive(side: Side): boolean {
    const { own, reference } = this.#sides[side];
    return (own?.isSurelyDigressive() ?? true) && (reference?.isSurelyDigressive() ?? true);
  }

  get #sides(): Readonly<Record<Side, SideCurves>> {
    return (this.#curves ??= curvesAt(this.#points, this.setting));
  }
}

class ReferenceShape implements Record<Side, SideShape | undefined> {
  readonly #shape: (side: Side) => SideShape | undefined;

  constructor(shape: (side: Side) => SideShape | undefined) {
    this.#shape = shape;
  }

  get compression(): SideShape | undefined {
    return this.#shape('compression');
  }

  get rebound(): SideShape | undefined {
    return this.#shape('rebound');
  }
}

/** Whether a point has a place in its side's curve. */
export function isShaped({ pass, damping }: JudgedPoint): boolean {
  return pass === 1 && damping !== undefined;
}

/** Points of a setting whose damping is known. */
function pointsAt(points: readonly JudgedPoint[], setting: Setting): readonly JudgedPoint[] {
  const here: JudgedPoint[] = [];
  // Neighbours share their setting, so that it is compared once.
  let other: Setting | undefined;
  for (const point of points) {
    if (point.setting === other || !isShaped(point)) continue;
    if (sameSetting(point.setting, setting)) here.push(point);
    else other = point.setting;
  }
  return here;
}

function curvesAt(points: readonly JudgedPoint[], setting: Setting): Readonly<Record<Side, SideCurves>> {
  const here = pointsAt(points, setting);
  const [compression, rebound] = SIDES.map((side): SideCurves => {
    const own = curveOf(here, side, dampingOf);
    const reference = curveOf(here, side, referenceOf);
    return { ...(own && { own }), ...(reference && { reference }) };
  });
  return { compression: compression!, rebound: rebound! };
}

function curveOf(
  points: readonly JudgedPoint[],
  side: Side,
  force: (point: JudgedPoint) => number,
): CurveShape | undefined {
  const speeds: number[] = [];
  const damping: number[] = [];
  const u: (number | undefined)[] = [];
  for (const point of points) {
    const value = point.side === side ? force(point) : NaN;
    if (!Number.isFinite(value)) continue;
    speeds.push(point.achieved);
    damping.push(SIDE_SIGN[side] * value);
    u.push(standardUncertainty(point));
  }
  return speeds.length === 0 ? undefined : new CurveShape(speeds, damping, u);
}

function dampingOf({ damping }: JudgedPoint): number {
  return damping ?? NaN;
}

function referenceOf(point: JudgedPoint): number {
  return hasOtherBasis(point) ? NaN : (point.reference ?? NaN);
}

function standardUncertainty({ uncertainty, coverageFactor }: JudgedPoint): number | undefined {
  const u = uncertainty / coverageFactor;
  return Number.isFinite(u) ? u : undefined;
}

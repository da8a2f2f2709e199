import type { SideShape } from '../analysis/shape/sideShape';
import type { Side } from '../analysis/side';
import { SIDE_SIGN } from '../analysis/side';
import type { Setting } from '../files/spec';
import { CurveShape } from './curveShape';
import { hasOtherBasis } from './otherBasis';
import type { ResultShape, SideRatio } from './resultShape';
import type { ShapedPoint, ShapedPoints } from './shapedPoints';
import { shapedAt } from './shapedPoints';
import { sideRatios } from './sideRatios';

interface SideCurves {
  readonly own: CurveShape | undefined;
  readonly reference: CurveShape | undefined;
}

/**
 * Shape of both sides at a setting of a result, each part worked out when it is first asked for: a fit takes some 50 µs, so that four of them a
 * result were an eighth of a check of thousands, where no face shows the shape of most.
 */
export class SettingShape implements ResultShape {
  /** Shapes of the reference's curves. */
  readonly reference: ResultShape['reference'];
  readonly #points: ShapedPoints;
  #curves: Readonly<Record<Side, SideCurves>> | undefined;
  #ratios: readonly SideRatio[] | undefined;

  /** @param points of the whole result */
  constructor(
    readonly setting: Setting,
    points: ShapedPoints,
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
    return (this.#ratios ??= sideRatios(shapedAt(this.#points.points, this.setting)));
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

function curvesAt(points: ShapedPoints, setting: Setting): Readonly<Record<Side, SideCurves>> {
  const compression = new SideNumbers();
  const rebound = new SideNumbers();
  points.eachAt(setting, (point) => {
    (point.side === 'compression' ? compression : rebound).add(point);
  });
  return { compression: compression.curves, rebound: rebound.curves };
}

/** What the curves of one side go through, test and reference at the same speeds. */
class SideNumbers {
  readonly #own = new CurveNumbers();
  readonly #reference = new CurveNumbers();

  add(point: ShapedPoint): void {
    const u = standardUncertainty(point);
    const sign = SIDE_SIGN[point.side];
    this.#own.add(point.achieved, sign * point.damping, u);
    if (!hasOtherBasis(point)) this.#reference.add(point.achieved, sign * point.reference, u);
  }

  get curves(): SideCurves {
    return { own: this.#own.curve, reference: this.#reference.curve };
  }
}

class CurveNumbers {
  readonly #speeds: number[] = [];
  readonly #damping: number[] = [];
  readonly #u: (number | undefined)[] = [];

  add(speed: number, damping: number, u: number | undefined): void {
    if (!Number.isFinite(damping)) return;
    this.#speeds.push(speed);
    this.#damping.push(damping);
    this.#u.push(u);
  }

  get curve(): CurveShape | undefined {
    return this.#speeds.length === 0 ? undefined : new CurveShape(this.#speeds, this.#damping, this.#u);
  }
}

function standardUncertainty({ uncertainty, coverageFactor }: ShapedPoint): number | undefined {
  const u = uncertainty / coverageFactor;
  return Number.isFinite(u) ? u : undefined;
}

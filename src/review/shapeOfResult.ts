import type { ShapeKind, SideShape } from '../analysis/shape/sideShape';
import { shapeOfSide } from '../analysis/shape/sideShape';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { Setting, Spec } from '../files/spec';
import type { JudgedPoint } from './judgedResult';
import { sameSetting } from './sameSetting';
import type { ResultShape, SideRatio } from './resultShape';

/** Parts of points that share one basis with the reference; of others the reference's shape is not held against. */
const OTHER_BASIS: ReadonlySet<JudgedPoint['cause']> = new Set(['basis', 'constant force', 'setting']);

/**
 * Shape at the delivery setting of the spec where it was run, else at the setting of the worst point, else at the first: a piston is
 * built for that one, and every other setting bends the curve by its adjusters.
 *
 * @param worst index of the worst point. @returns undefined where no damping force is known.
 */
export function shapeOfResult(
  points: readonly JudgedPoint[],
  worst: number | undefined,
  spec: Spec | undefined,
): ResultShape | undefined {
  const setting = shapeSetting(points, worst === undefined ? undefined : points[worst], spec);
  if (setting === undefined) return undefined;
  const here = pointsAt(points, setting);
  const shapes: Partial<Record<Side, SideShape>> = {};
  const reference: Partial<Record<Side, SideShape>> = {};
  // Both curves of a side one after the other: they share the grid of their speeds.
  for (const side of SIDES) {
    const shape = shapeOf(here, side, dampingOf);
    if (shape !== undefined) shapes[side] = shape;
    const before = shapeOf(here, side, referenceOf);
    if (before !== undefined) reference[side] = before;
  }
  const piston = pistonName(shapes.compression?.kind, shapes.rebound?.kind);
  return { setting, ...shapes, reference, ...(piston !== undefined && { piston }), ratios: ratiosOf(here) };
}

/** Points of a setting whose damping is known. */
function pointsAt(points: readonly JudgedPoint[], setting: Setting): readonly JudgedPoint[] {
  const here: JudgedPoint[] = [];
  // Neighbours share their setting, so that it is compared once.
  let other: Setting | undefined;
  for (const point of points) {
    if (point.setting === other || !isKnown(point)) continue;
    if (sameSetting(point.setting, setting)) here.push(point);
    else other = point.setting;
  }
  return here;
}

function isKnown({ pass, damping }: JudgedPoint): boolean {
  return pass === 1 && damping !== undefined;
}

function dampingOf({ damping }: JudgedPoint): number {
  return damping ?? NaN;
}

function referenceOf({ cause, reference }: JudgedPoint): number {
  return OTHER_BASIS.has(cause) ? NaN : (reference ?? NaN);
}

function shapeSetting(
  points: readonly JudgedPoint[],
  worst: JudgedPoint | undefined,
  spec: Spec | undefined,
): Setting | undefined {
  const delivery =
    spec !== undefined && Object.hasOwn(spec.settings, 'delivery') ? spec.settings['delivery'] : undefined;
  if (delivery !== undefined) {
    const measured = points.find((point) => isKnown(point) && sameSetting(point.setting, delivery));
    if (measured !== undefined) return measured.setting;
  }
  return (worst?.damping === undefined ? points.find(isKnown) : worst)?.setting;
}

function shapeOf(
  points: readonly JudgedPoint[],
  side: Side,
  force: (point: JudgedPoint) => number,
): SideShape | undefined {
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
  return speeds.length === 0 ? undefined : shapeOfSide(speeds, damping, u);
}

function standardUncertainty({ uncertainty, coverageFactor }: JudgedPoint): number | undefined {
  const u = uncertainty / coverageFactor;
  return Number.isFinite(u) ? u : undefined;
}

function pistonName(compression: ShapeKind | undefined, rebound: ShapeKind | undefined): string | undefined {
  if (compression === undefined || rebound === undefined) return undefined;
  return compression === 'undecided' || rebound === 'undecided' ? undefined : `${compression}/${rebound}`;
}

function ratiosOf(points: readonly JudgedPoint[]): readonly SideRatio[] {
  const rebound = new Map<number, JudgedPoint>();
  for (const point of points) if (point.side === 'rebound') rebound.set(point.row, point);
  const ratios: SideRatio[] = [];
  for (const c of points) {
    const r = c.side === 'compression' ? rebound.get(c.row) : undefined;
    if (r?.damping === undefined || !(c.damping! > 0) || !(r.damping < 0)) continue;
    const ratio = -r.damping / c.damping!;
    const U = ratio * (r.uncertainty / -r.damping + c.uncertainty / c.damping!);
    const reference = OTHER_BASIS.has(c.cause) ? undefined : ratioOfReference(c, r);
    ratios.push({
      velocity: c.velocity,
      ratio,
      ...(Number.isFinite(U) && { U }),
      ...(reference !== undefined && { reference }),
    });
  }
  return ratios.sort((a, b) => a.velocity - b.velocity);
}

function ratioOfReference(compression: JudgedPoint, rebound: JudgedPoint): number | undefined {
  const [c, r] = [compression.reference, rebound.reference];
  return c !== undefined && r !== undefined && c > 0 && r < 0 ? -r / c : undefined;
}

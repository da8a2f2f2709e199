import type { ShapeKind, SideShape } from '../analysis/shape/sideShape';
import { shapeOfSide } from '../analysis/shape/sideShape';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { Setting, Spec } from '../files/spec';
import type { JudgedPoint } from './judgedResult';
import { settingKey } from './referenceCurves';
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
  const known = points.filter((point) => point.pass === 1 && point.damping !== undefined);
  const setting = shapeSetting(known, worst === undefined ? undefined : points[worst], spec);
  if (setting === undefined) return undefined;
  const key = settingKey(setting);
  const here = known.filter((point) => settingKey(point.setting) === key);
  const shapes = Object.fromEntries(
    SIDES.flatMap((side) => {
      const shape = shapeOf(here, side, (point) => point.damping);
      return shape === undefined ? [] : [[side, shape] as const];
    }),
  ) as Partial<Record<Side, SideShape>>;
  const reference = Object.fromEntries(
    SIDES.flatMap((side) => {
      const shape = shapeOf(here, side, (point) => (OTHER_BASIS.has(point.cause) ? undefined : point.reference));
      return shape === undefined ? [] : [[side, shape] as const];
    }),
  );
  const piston = pistonName(shapes.compression?.kind, shapes.rebound?.kind);
  return { setting, ...shapes, reference, ...(piston !== undefined && { piston }), ratios: ratiosOf(here) };
}

function shapeSetting(
  points: readonly JudgedPoint[],
  worst: JudgedPoint | undefined,
  spec: Spec | undefined,
): Setting | undefined {
  const delivery =
    spec !== undefined && Object.hasOwn(spec.settings, 'delivery') ? spec.settings['delivery'] : undefined;
  if (delivery !== undefined) {
    const key = settingKey(delivery);
    const measured = points.find((point) => settingKey(point.setting) === key);
    if (measured !== undefined) return measured.setting;
  }
  return (worst?.damping === undefined ? points[0] : worst)?.setting;
}

function shapeOf(
  points: readonly JudgedPoint[],
  side: Side,
  force: (point: JudgedPoint) => number | undefined,
): SideShape | undefined {
  const used = points.filter((point) => point.side === side && Number.isFinite(force(point) ?? NaN));
  if (used.length === 0) return undefined;
  return shapeOfSide(
    used.map((point) => point.achieved),
    used.map((point) => SIDE_SIGN[side] * force(point)!),
    used.map(standardUncertainty),
  );
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
  const rebound = new Map(points.filter((p) => p.side === 'rebound').map((point) => [point.row, point]));
  return points
    .filter((point) => point.side === 'compression')
    .flatMap((c): SideRatio[] => {
      const r = rebound.get(c.row);
      if (r?.damping === undefined || !(c.damping! > 0) || !(r.damping < 0)) return [];
      const ratio = -r.damping / c.damping!;
      const U = ratio * (r.uncertainty / -r.damping + c.uncertainty / c.damping!);
      const reference = OTHER_BASIS.has(c.cause) ? undefined : ratioOfReference(c, r);
      return [
        {
          velocity: c.velocity,
          ratio,
          ...(Number.isFinite(U) && { U }),
          ...(reference !== undefined && { reference }),
        },
      ];
    })
    .sort((a, b) => a.velocity - b.velocity);
}

function ratioOfReference(compression: JudgedPoint, rebound: JudgedPoint): number | undefined {
  const [c, r] = [compression.reference, rebound.reference];
  return c !== undefined && r !== undefined && c > 0 && r < 0 ? -r / c : undefined;
}

import type { JudgedPoint } from './judgedResult';
import { hasOtherBasis } from './otherBasis';
import type { SideRatio } from './resultShape';

/** Rebound over compression damping of every row that has both, by velocity. */
export function sideRatios(points: readonly JudgedPoint[]): readonly SideRatio[] {
  const rebound = new Map<number, JudgedPoint>();
  for (const point of points) if (point.side === 'rebound') rebound.set(point.row, point);
  const ratios: SideRatio[] = [];
  for (const c of points) {
    const r = c.side === 'compression' ? rebound.get(c.row) : undefined;
    if (r?.damping === undefined || !(c.damping! > 0) || !(r.damping < 0)) continue;
    const ratio = -r.damping / c.damping!;
    const U = ratio * (r.uncertainty / -r.damping + c.uncertainty / c.damping!);
    const reference = hasOtherBasis(c) ? undefined : ratioOfReference(c, r);
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

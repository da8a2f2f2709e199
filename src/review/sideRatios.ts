import type { JudgedPoint } from './judgedResult';
import { hasOtherBasis } from './otherBasis';
import type { SideRatio } from './resultShape';

/** Rebound over compression damping of every row that has both, by velocity. @param points compression before rebound of a row */
export function sideRatios(points: readonly JudgedPoint[]): readonly SideRatio[] {
  const ratios: SideRatio[] = [];
  for (let i = 1; i < points.length; i++) {
    const c = points[i - 1]!;
    const r = points[i]!;
    if (c.row !== r.row || c.damping === undefined || r.damping === undefined) continue;
    if (c.damping > 0 && r.damping < 0) ratios.push(ratioOf(c, r, -r.damping / c.damping));
  }
  return ratios.sort((a, b) => a.velocity - b.velocity);
}

function ratioOf(c: JudgedPoint, r: JudgedPoint, value: number): SideRatio {
  const ratio: { -readonly [Key in keyof SideRatio]: SideRatio[Key] } = { velocity: c.velocity, ratio: value };
  const U = value * (r.uncertainty / -r.damping! + c.uncertainty / c.damping!);
  if (Number.isFinite(U)) ratio.U = U;
  const reference = hasOtherBasis(c) ? undefined : ratioOfReference(c, r);
  if (reference !== undefined) ratio.reference = reference;
  return ratio;
}

function ratioOfReference(compression: JudgedPoint, rebound: JudgedPoint): number | undefined {
  const [c, r] = [compression.reference, rebound.reference];
  return c !== undefined && r !== undefined && c > 0 && r < 0 ? -r / c : undefined;
}

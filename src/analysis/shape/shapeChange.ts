import type { ShapeKind, SideShape, WithUncertainty } from './sideShape';
import { DIGRESSIVE_BELOW, HIDDEN_KNEE_SHARE, PROGRESSIVE_ABOVE } from './sideShape';

/** A turn of the slopes against each other that is smaller than what parts linear from digressive is no other shape [rad]. */
const LEAST_TURN = Math.atan(1) - Math.atan(DIGRESSIVE_BELOW);
/** Likewise for the force that a line starts with, as a share of that at top speed. */
const LEAST_START = 0.1;
/** A knee less certain than this share of its speed lies at the edge of the points; what it says of the slopes is then no proof. */
const MOST_KNEE_U = 0.3;

/**
 * Whether a curve is shown not to be of a kind, wherever in the range of its speeds a knee of that kind may lie: its slope ratio, or
 * for a knee below the first step the force that it starts with, lies outside that kind with its whole expanded uncertainty.
 */
export function excludesKind(shape: SideShape, kind: ShapeKind): boolean {
  return excludes(shape, kind, shape.ratiosAtEnds ?? []);
}

/**
 * Whether two curves, taken at the same speeds, are of different kinds beyond their uncertainties: each is shown not to be of the
 * other's kind, a straight one with a knee in the middle of its speeds, and the difference itself is beyond both uncertainties
 * together and larger than what parts two kinds at their border.
 */
export function shapesDiffer(a: SideShape, b: SideShape): boolean {
  if (!excludes(a, b.kind, []) || !excludes(b, a.kind, [])) return false;
  return turned(a.slopeRatio!, b.slopeRatio!) || startsElsewhere(a, b);
}

function excludes(shape: SideShape, kind: ShapeKind, more: readonly WithUncertainty[]): boolean {
  if (shape.kind === 'undecided' || kind === 'undecided' || shape.kind === kind) return false;
  const { slopeRatio, startShare: start } = shape;
  if (slopeRatio === undefined || start === undefined || !reliable(shape)) return false;
  const ratios = [slopeRatio, ...more];
  const above = (limit: number): boolean => ratios.every(({ value, U }) => value - U > limit);
  const below = (limit: number): boolean => ratios.every(({ value, U }) => value + U < limit);
  if (kind === 'linear') {
    if (shape.kneeBelowFirstStep) return start.value - start.U > HIDDEN_KNEE_SHARE;
    return below(DIGRESSIVE_BELOW) || above(PROGRESSIVE_ABOVE);
  }
  if (kind === 'progressive') return below(PROGRESSIVE_ABOVE);
  if (kind === 'regressive') return above(0);
  // Digressive is also a line that starts high, so that both its marks must be missing.
  const mayHide = shape.kind === 'linear' && start.value + start.U > HIDDEN_KNEE_SHARE;
  return !mayHide && (above(DIGRESSIVE_BELOW) || below(0));
}

function turned(a: WithUncertainty, b: WithUncertainty): boolean {
  const beyond = Math.abs(a.value - b.value) > Math.hypot(a.U, b.U);
  return beyond && Math.abs(Math.atan(a.value) - Math.atan(b.value)) > LEAST_TURN;
}

/** A straight line that starts high against one that does not: their slopes cannot tell them apart. */
function startsElsewhere(a: SideShape, b: SideShape): boolean {
  if (!a.kneeBelowFirstStep && !b.kneeBelowFirstStep) return false;
  const [first, second] = [a.startShare!, b.startShare!];
  return Math.abs(first.value - second.value) > Math.max(LEAST_START, Math.hypot(first.U, second.U));
}

/** A ratio over a slope that may be zero says nothing, nor does one about a knee that may be anywhere. */
function reliable({ slopeBelow, slopeRatio, knee }: SideShape): boolean {
  if (!Number.isFinite(slopeRatio?.value) || !Number.isFinite(slopeRatio?.U)) return false;
  if (knee !== undefined && !(knee.U < MOST_KNEE_U * knee.value)) return false;
  return slopeBelow === undefined || slopeBelow.value - slopeBelow.U > 0;
}

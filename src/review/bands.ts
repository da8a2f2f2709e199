import type { Side } from '../analysis/side';
import type { DriftBand, JudgedPoint, Verdict } from './judgedResult';

const SEVERITY: Readonly<Record<Verdict, number>> = { fail: 2, undecided: 1, pass: 0 };
/** Speeds this close are one velocity run at several settings; steps of a plan are at least 4 % apart. */
const SAME_VELOCITY = 0.025;
const SAME_VELOCITY_ABSOLUTE = 0.001;

/** Whether point `a` is worse than `b`: by verdict, then by share of tolerance. */
export function worseThan(a: JudgedPoint, b: JudgedPoint): boolean {
  if (a.verdict !== b.verdict) return SEVERITY[a.verdict] > SEVERITY[b.verdict];
  return (a.share ?? -1) > (b.share ?? -1);
}

/** Whether the spec judges this point at all. */
export function isJudged(point: JudgedPoint): boolean {
  return point.cause !== 'tolerance';
}

export function isWorseVerdict(a: Verdict, b: Verdict): boolean {
  return SEVERITY[a] > SEVERITY[b];
}

/** The worse of two verdicts. */
export function worseVerdict(a: Verdict, b: Verdict): Verdict {
  return SEVERITY[a] >= SEVERITY[b] ? a : b;
}

/**
 * Maximal runs of neighbouring velocities of one side whose worst verdict over the settings and sign of drift are the same; compression
 * first, by rising velocity. Points that the spec does not judge are in no band.
 */
export function bandsOf(points: readonly JudgedPoint[]): readonly DriftBand[] {
  return [...bandsOfSide(points, 'compression'), ...bandsOfSide(points, 'rebound')];
}

/** A band while neighbours may still join it. */
type Draft = { -readonly [Key in keyof DriftBand]: DriftBand[Key] } & { points: number[] };

function bandsOfSide(points: readonly JudgedPoint[], side: Side): DriftBand[] {
  const bands: Draft[] = [];
  const indices = byVelocity(points, side);
  let start = 0;
  while (start < indices.length) {
    const end = endOfVelocity(points, indices, start);
    let worst = indices[start]!;
    for (let k = start + 1; k < end; k++) if (worseThan(points[indices[k]!]!, points[worst]!)) worst = indices[k]!;
    const { verdict, direction } = points[worst]!;
    const to = points[indices[end - 1]!]!.velocity;
    let band = bands.at(-1);
    if (band === undefined || band.verdict !== verdict || band.direction !== direction) {
      band = { side, from: points[indices[start]!]!.velocity, to, verdict, worst, points: [] };
      if (direction !== undefined) band.direction = direction;
      bands.push(band);
    } else {
      band.to = to;
      if (worseThan(points[worst]!, points[band.worst]!)) band.worst = worst;
    }
    for (let k = start; k < end; k++) if (points[indices[k]!]!.verdict === verdict) band.points.push(indices[k]!);
    start = end;
  }
  return bands;
}

/** Indices of the side's judged points by rising velocity. */
function byVelocity(points: readonly JudgedPoint[], side: Side): readonly number[] {
  const indices: number[] = [];
  for (let i = 0; i < points.length; i++) if (points[i]!.side === side && isJudged(points[i]!)) indices.push(i);
  return indices.sort((a, b) => points[a]!.velocity - points[b]!.velocity || a - b);
}

/** Where the points of the velocity end that begins at `start`. */
function endOfVelocity(points: readonly JudgedPoint[], indices: readonly number[], start: number): number {
  const { velocity } = points[indices[start]!]!;
  const most = Math.max(SAME_VELOCITY * velocity, SAME_VELOCITY_ABSOLUTE);
  let end = start + 1;
  while (end < indices.length && points[indices[end]!]!.velocity - velocity <= most) end++;
  return end;
}

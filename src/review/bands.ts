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
  for (const group of byVelocity(points, side)) {
    const worst = group.reduce((a, b) => (worseThan(points[b]!, points[a]!) ? b : a));
    const { verdict, direction } = points[worst]!;
    // Its velocities rise.
    const from = points[group[0]!]!.velocity;
    const to = points[group.at(-1)!]!.velocity;
    let band = bands.at(-1);
    if (band === undefined || band.verdict !== verdict || band.direction !== direction) {
      band = { side, from, to, verdict, worst, points: [] };
      if (direction !== undefined) band.direction = direction;
      bands.push(band);
    } else {
      band.to = to;
      if (worseThan(points[worst]!, points[band.worst]!)) band.worst = worst;
    }
    for (const i of group) if (points[i]!.verdict === verdict) band.points.push(i);
  }
  return bands;
}

/** Indices of the side's judged points, one group a velocity, rising. */
function byVelocity(points: readonly JudgedPoint[], side: Side): number[][] {
  const indices: number[] = [];
  for (let i = 0; i < points.length; i++) if (points[i]!.side === side && isJudged(points[i]!)) indices.push(i);
  indices.sort((a, b) => points[a]!.velocity - points[b]!.velocity || a - b);
  const groups: number[][] = [];
  let group: number[] | undefined;
  let start = NaN;
  for (const i of indices) {
    const { velocity } = points[i]!;
    if (group !== undefined && velocity - start <= Math.max(SAME_VELOCITY * start, SAME_VELOCITY_ABSOLUTE))
      group.push(i);
    else {
      groups.push((group = [i]));
      start = velocity;
    }
  }
  return groups;
}

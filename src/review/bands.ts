import { SIDES } from '../analysis/side';
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
  return SIDES.flatMap((side) => bandsOfSide(points, side));
}

function bandsOfSide(points: readonly JudgedPoint[], side: Side): DriftBand[] {
  const bands: DriftBand[] = [];
  for (const group of byVelocity(points, side)) {
    const worst = group.reduce((a, b) => (worseThan(points[b]!, points[a]!) ? b : a));
    const { verdict, direction } = points[worst]!;
    const own = group.filter((i) => points[i]!.verdict === verdict);
    const velocities = group.map((i) => points[i]!.velocity);
    const last = bands.at(-1);
    if (last !== undefined && last.verdict === verdict && last.direction === direction) {
      bands[bands.length - 1] = {
        ...last,
        to: Math.max(...velocities),
        worst: worseThan(points[worst]!, points[last.worst]!) ? worst : last.worst,
        points: [...last.points, ...own],
      };
    } else {
      bands.push({
        side,
        from: Math.min(...velocities),
        to: Math.max(...velocities),
        verdict,
        ...(direction !== undefined && { direction }),
        worst,
        points: own,
      });
    }
  }
  return bands;
}

/** Indices of the side's judged points, one group a velocity, rising. */
function byVelocity(points: readonly JudgedPoint[], side: Side): number[][] {
  const indices = points.flatMap((point, i) => (point.side === side && isJudged(point) ? [i] : []));
  indices.sort((a, b) => points[a]!.velocity - points[b]!.velocity || a - b);
  const groups: number[][] = [];
  for (const i of indices) {
    const group = groups.at(-1);
    const start = group === undefined ? NaN : points[group[0]!]!.velocity;
    const gap = points[i]!.velocity - start;
    if (group !== undefined && gap <= Math.max(SAME_VELOCITY * start, SAME_VELOCITY_ABSOLUTE)) group.push(i);
    else groups.push([i]);
  }
  return groups;
}

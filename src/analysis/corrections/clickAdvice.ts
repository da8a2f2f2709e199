import { chiSquareQuantile, fQuantile, studentQuantile } from '../statistics/distributions';
import { solvePositiveDefinite } from '../statistics/normalEquations';
import type { Side } from '../side';
import { allowedCombinations } from './clickCombinations';
import type { RatedClicks } from './clickRating';
import { ClickRating } from './clickRating';
import type { NeedleCurve } from './needleCurve';

/** One point of the setting that is to be mended, gas taken off. Forces in N. */
export interface AdvicePoint {
  readonly side: Side;
  /** D - D_ref. */
  readonly drift: number;
  readonly reference: number;
  /** Standard and expanded uncertainty of the drift; NaN where none is stated. */
  readonly u: number;
  readonly U: number;
  /** Largest drift that is allowed either way; absent where the spec sets none. */
  readonly tolerance: { readonly softer?: number; readonly harder?: number };
  readonly needles: readonly (NeedleCurve | undefined)[];
}

export interface AdviceAdjuster {
  readonly position: number;
  /** Positions that it can stand at, rising; never is another one advised. */
  readonly allowed: readonly number[];
  /** Its needle index is what explains the drift: it stands elsewhere than it says. */
  readonly leftOut: boolean;
}

export interface ClickAnswer {
  /** New position by adjuster of the group. */
  readonly positions: readonly number[];
  /** Sum of all moves, units of the adjusters. */
  readonly moved: number;
  /** Largest |d| / T that is left. */
  readonly worst: number;
  /** Index of the point of it. */
  readonly at: number;
}

/** Adjusters that share a side, advised together. */
export interface AdviceGroup {
  readonly adjusters: readonly number[];
  readonly sides: readonly Side[];
  /** One click of each does at least 4 u: one answer. Else all that the test cannot tell apart, best first. */
  readonly exact: boolean;
  readonly answers: readonly ClickAnswer[];
  /** What stays where nothing is moved. */
  readonly asSet: ClickAnswer;
  /** No allowed setting brings every point inside, beyond uncertainty. */
  readonly worn: boolean;
  /** True where not every combination could be tried, and the nearest were. */
  readonly onlyNear: boolean;
}

/** A click must do at least this many of its standard uncertainties for the answer to be one; more where several adjusters must be right at once. */
const LEAST_CLICK = 4;
/** Chance that the true setting is not among those listed, over all groups together. */
const SIGNIFICANCE = 0.05;

/**
 * Whole clicks inside the adjusters' ranges that bring a setting nearest to its reference: least max |d| / T, where answers within U of each
 * other count alike; then the least weighted sum of squares; then the fewest clicks moved.
 *
 * @param points of one setting. @param adjusters in the order of the points' `needles`.
 */
export function clickAdvice(
  points: readonly AdvicePoint[],
  adjusters: readonly AdviceAdjuster[],
): readonly AdviceGroup[] {
  const movable = adjusters.flatMap(({ allowed }, k) => (allowed.length > 0 ? [k] : []));
  const groups = groupsOf(points, movable);
  return groups.map((members) => {
    const own = points.filter(({ needles }) => members.some((k) => needles[k] !== undefined));
    const significance = { group: SIGNIFICANCE / groups.length, adjuster: SIGNIFICANCE / groups.flat().length };
    return adviceOfGroup(own, points, members, adjusters, significance);
  });
}

/** Adjusters that act on a common point belong together; those that act on none cannot be advised. */
function groupsOf(points: readonly AdvicePoint[], movable: readonly number[]): readonly (readonly number[])[] {
  let groups: number[][] = [];
  for (const k of movable) {
    if (!points.some(({ needles }) => needles[k] !== undefined)) continue;
    const tied = groups.filter((group) =>
      points.some(({ needles }) => needles[k] !== undefined && group.some((j) => needles[j] !== undefined)),
    );
    groups = [...groups.filter((group) => !tied.includes(group)), [...tied.flat(), k].sort((a, b) => a - b)];
  }
  return groups.sort((a, b) => a[0]! - b[0]!);
}

function adviceOfGroup(
  own: readonly AdvicePoint[],
  all: readonly AdvicePoint[],
  members: readonly number[],
  adjusters: readonly AdviceAdjuster[],
  significance: { readonly group: number; readonly adjuster: number },
): AdviceGroup {
  const { combinations, complete } = allowedCombinations(members.map((k) => adjusters[k]!));
  const rating = new ClickRating(own, all, members, adjusters);
  const candidates = combinations.map((positions) => rating.rate(positions));
  const asSet = rating.rate(members.map((k) => adjusters[k]!.position));
  const least = candidates.reduce((a, b) => (b.worst < a.worst ? b : a));
  const alike = candidates.filter((one) => !(one.worst > least.worst + least.doubt)).sort(bySquaresThenMoves);
  const best = alike[0]!;
  const freedom = own.length - members.length;
  const stated = own.every(({ u }) => u > 0);
  const scatter = freedom > 0 ? best.squares / freedom : NaN;
  const variance = stated ? Math.max(1, Number.isNaN(scatter) ? 1 : scatter) : scatter;
  const needed = clicksNeeded(significance.adjuster, freedom);
  const exact = clicksOverU(own, members, adjusters, best.positions).every(
    (ratio) => ratio >= needed * Math.sqrt(variance),
  );
  const reach = variance * spreadOfTies(members.length, freedom, stated && !(scatter > 1), significance.group);
  // Where one click does little, a needle left out and valving that is off look alike: an answer counts by either reading.
  const other = adjusters.map((adjuster) => ({ ...adjuster, leftOut: !adjuster.leftOut }));
  const otherwise = new ClickRating(own, all, members, other);
  const most = best.squares + reach;
  const fits = ({ squares, positions }: RatedClicks): boolean =>
    squares <= most || otherwise.rate(positions).squares <= most;
  const tied = exact ? [] : candidates.filter((one) => one !== best && fits(one)).sort(bySquaresThenMoves);
  return {
    adjusters: members,
    sides: (['compression', 'rebound'] as const).filter((side) => own.some((point) => point.side === side)),
    exact,
    answers: [best, ...tied].map(plain),
    asSet: plain(asSet),
    worn: Math.min(...candidates.map((one) => one.proven)) > 1,
    onlyNear: !complete,
  };
}

function bySquaresThenMoves(a: RatedClicks, b: RatedClicks): number {
  return a.squares - b.squares || a.moved - b.moved;
}

/** The estimate lies within half a click of the truth in all but this share of tests. */
function clicksNeeded(significance: number, freedom: number): number {
  return Math.max(LEAST_CLICK, 2 * studentQuantile(1 - significance / 2, Math.max(1, freedom)));
}

/** Sum of squares within which all but this share of tests leave the true positions. */
function spreadOfTies(count: number, freedom: number, known: boolean, significance: number): number {
  if (known || freedom < 1) return chiSquareQuantile(1 - significance, count);
  return count * fQuantile(1 - significance, count, freedom);
}

function plain({ positions, moved, worst, at }: RatedClicks): ClickAnswer {
  return { positions, moved, worst, at };
}

/** What one step to the next allowed position does, over its standard uncertainty where the weights are variances; one an adjuster. */
function clicksOverU(
  own: readonly AdvicePoint[],
  members: readonly number[],
  adjusters: readonly AdviceAdjuster[],
  positions: readonly number[],
): readonly number[] {
  const p = members.length;
  const cross = new Float64Array(p * p);
  const clicks = members.map((k, j) => nextClick(adjusters[k]!, positions[j]!));
  const row: number[] = [];
  for (const point of own) {
    for (let j = 0; j < p; j++) {
      const needle = point.needles[members[j]!];
      row[j] = needle === undefined ? 0 : point.reference * needle.ratio(positions[j]!).slope * clicks[j]!;
    }
    const weight = point.u > 0 ? 1 / (point.u * point.u) : 1;
    for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) cross[a * p + b]! += weight * row[a]! * row[b]!;
  }
  const scale = members.map((_, a) => Math.sqrt(cross[a * p + a]!));
  const scaled = cross.map((value, at) => value / (scale[Math.floor(at / p)]! * scale[at % p]!));
  const inverse = new Float64Array(p * p);
  for (let a = 0; a < p; a++) inverse[a * p + a] = 1;
  if (!solvePositiveDefinite(scaled, inverse, p, p)) return members.map(() => 0);
  return scale.map((one, a) => one / Math.sqrt(inverse[a * p + a]!));
}

/** Units to the nearest other allowed position. */
function nextClick({ allowed }: AdviceAdjuster, position: number): number {
  const gaps = allowed.map((one) => Math.abs(one - position)).filter((gap) => gap > 0);
  return gaps.length === 0 ? 0 : Math.min(...gaps);
}

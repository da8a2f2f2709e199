import { SIDES } from '../analysis/side';
import { areOfOneBuild } from './buildChange';
import type { BuildChange, ComparedPoint, ComparedRun } from './comparison';
import { countText, decimalText, listText, percentText } from './wording';

const NOT_IN_IT =
  'Remounting, setting the clicks again and another day are not in that scatter, so this alone does not show that the damper changed.';

const ONE_BUILD =
  'Both are runs of one build: remounting, setting the clicks again and another day are in their difference, and no rebuild.';

const BENCH_IN_IT = 'The uncertainty of the bench is in the test as well, so a smaller change may hide behind it.';

export interface StatedDifference {
  readonly a: ComparedRun;
  readonly b: ComparedRun;
  readonly points: readonly ComparedPoint[];
  /** Points that state an uncertainty; the Bonferroni limit was shared among them. */
  readonly testable: number;
  readonly change: BuildChange | undefined;
}

/**
 * What may be said of a difference. Where runs were repeated without a rebuild, whether it is more than such runs differ by; else what the
 * cycles of the two alone hold, and never more than that.
 */
export function changeStatement(difference: StatedDifference): string {
  const { points, testable, change } = difference;
  if (points.length === 0) return 'Nothing to compare: the two have no setting and speed in common.';
  if (change !== undefined) return `${testedText(difference, change)} ${scatterText(points, testable)}`.trim();
  if (testable === 0)
    return 'Neither states an uncertainty, so it cannot be said whether the difference is more than scatter.';
  return scatterAlone(difference);
}

/** The test against repeats, with its power: a test that could not have seen a change shows nothing by not seeing one. */
function testedText({ a, b }: StatedDifference, change: BuildChange): string {
  const { significant, pValue, tSquared, repeats, bench } = change;
  const what = a.serial !== '' && a.serial === b.serial ? 'the builds' : 'the two';
  const runs = `${countText(repeats.runs, 'complete run')} of ${countText(repeats.units, 'damper')}`;
  const behind =
    repeats.from === 'spec' ? runs : `${runs}, of the check standard as this spec has no repeats of its own`;
  const test = `Hotelling's T2 ${decimalText(tSquared, 1)}, p ${pText(pValue)}, mean of each side against ${behind}`;
  const verdict = significant
    ? `Significant: ${what} differ by more than runs without a rebuild do (${test}).`
    : `Not significant: ${what} differ by no more than runs without a rebuild do (${test}). That does not show that nothing changed.`;
  return [verdict, significant ? benchCaution(bench) : undefined, powerText(change)].filter(Boolean).join(' ');
}

function benchCaution(bench: BuildChange['bench']): string | undefined {
  if (bench === 'same') return undefined;
  if (bench === 'not stated')
    return 'Not both state their bench; on two benches the difference could be that of the benches.';
  const since = bench === 'other bench' ? 'The benches are two' : 'The bench was calibrated in between';
  return `${since}, and that is not in the scatter of repeats, so this alone does not show that the damper changed.`;
}

/** Below so many degrees of freedom the stated power itself is known to some tens of percent only. */
const ROUGH_BELOW = 8;

/** `Of changes of both sides this test finds 1 % in 21 % of cases, ...` */
export function powerText({ power, repeats }: BuildChange): string {
  const parts = power.map(({ change, probability }) => `${percentText(change)} in ${chanceText(probability)}`);
  const rough = repeats.degreesOfFreedom < ROUGH_BELOW ? '; from so few runs that is a rough figure' : '';
  return `Of changes of both sides this test finds ${listText(parts)} of cases${rough}.`;
}

/** Whole percents; never 100 % of a thing that can fail. */
function chanceText(probability: number): string {
  const percent = Math.round(probability * 100);
  return percent >= 100 ? 'more than 99 %' : `${percent} %`;
}

export function pText(p: number): string {
  return p < 0.0001 ? 'below 0.0001' : decimalText(p, p < 0.001 ? 4 : p < 0.1 ? 3 : 2);
}

/** What the cycles show beside the test of the means: a change at a few speeds that the mean of a side hides. */
function scatterText(points: readonly ComparedPoint[], testable: number): string {
  if (testable === 0) return '';
  const beyond = points.filter((p) => p.beyondScatter);
  if (beyond.length === 0) return 'No point differs by more than the scatter between cycles.';
  return `More than the scatter between cycles in ${countText(beyond.length, 'point')} of ${testable}: ${sidesText(beyond)}; remounting is not in that.`;
}

function scatterAlone({ a, b, points, testable }: StatedDifference): string {
  const benchIncluded = [a, b].some((run) => run.table.result?.benchIncluded === true);
  const bench = benchIncluded ? ` ${BENCH_IN_IT}` : '';
  const beyond = points.filter((p) => p.beyondScatter);
  const test = `t test of every point at 5 % over all ${countText(testable, 'point')} together (Bonferroni)`;
  if (beyond.length === 0)
    return `Within the scatter between cycles: ${test}. That does not show that nothing changed.${bench}`;
  const caution = areOfOneBuild(a, b) ? ONE_BUILD : NOT_IN_IT;
  return `More than the scatter between cycles in ${countText(beyond.length, 'point')} of ${testable}: ${sidesText(beyond)}; ${test}. ${caution}${bench}`;
}

function sidesText(beyond: readonly ComparedPoint[]): string {
  const sides = SIDES.flatMap((side) => {
    const ofSide = beyond.filter((p) => p.side === side);
    if (ofSide.length === 0) return [];
    const directions = [...new Set(ofSide.map((p) => p.direction).filter((d) => d !== undefined))];
    return [`${ofSide.length} in ${side} (${listText(directions)})`];
  });
  return listText(sides);
}

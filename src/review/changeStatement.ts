import { SIDES } from '../analysis/side';
import type { ComparedPoint } from './comparison';
import { countText, listText } from './wording';

const NOT_IN_IT =
  'Remounting, setting the clicks again and another day are not in that scatter, so this alone does not show that the damper changed.';

const BENCH_IN_IT = 'The uncertainty of the bench is in the test as well, so a smaller change may hide behind it.';

/**
 * What may be said of a difference from the cycles of two runs alone. A statement about the damper needs runs that were repeated without a
 * rebuild; this one never claims more than the cycles hold.
 *
 * @param testable points that state an uncertainty; the Bonferroni limit was shared among them.
 * @param benchIncluded whether the uncertainties hold that of the bench, which two tests on one bench share: the test is then the stricter one.
 */
export function changeStatement(points: readonly ComparedPoint[], testable: number, benchIncluded: boolean): string {
  if (points.length === 0) return 'Nothing to compare: the two have no setting and speed in common.';
  if (testable === 0)
    return 'Neither states an uncertainty, so it cannot be said whether the difference is more than scatter.';
  const bench = benchIncluded ? ` ${BENCH_IN_IT}` : '';
  const beyond = points.filter((p) => p.beyondScatter);
  const test = `t test of every point at 5 % over all ${countText(testable, 'point')} together (Bonferroni)`;
  if (beyond.length === 0)
    return `Within the scatter between cycles: ${test}. That does not show that nothing changed.${bench}`;
  const sides = SIDES.flatMap((side) => {
    const ofSide = beyond.filter((p) => p.side === side);
    if (ofSide.length === 0) return [];
    const directions = [...new Set(ofSide.map((p) => p.direction).filter((d) => d !== undefined))];
    return [`${ofSide.length} in ${side} (${listText(directions)})`];
  });
  return `More than the scatter between cycles in ${countText(beyond.length, 'point')} of ${testable}: ${listText(sides)}; ${test}. ${NOT_IN_IT}${bench}`;
}

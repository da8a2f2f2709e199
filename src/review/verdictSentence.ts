import type { DriftBand, JudgedPoint, JudgedResult, Verdict } from './judgedResult';
import { worstPointOf } from './lazyPoints';
import { atSettingOfSide, percentText, speedRangeText, speedText, unitLabel } from './wording';

/** Ordinals of tests, as far as anyone tests one build. */
const ORDINALS = ['', 'first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth'];

/** The verdict as it is meant for the purpose, of several results without one: an undecided result does not ship, and excludes nobody. */
export function verdictWord(verdict: Verdict, purpose?: 'release' | 'scrutineering'): string {
  if (verdict === 'undecided') return purpose === 'scrutineering' ? 'NOT SHOWN TO BE OUT' : 'UNDECIDED';
  return verdict === 'fail' ? 'FAIL' : 'PASS';
}

/** The unit and build of a result, with its run where there are several: `F-017 build 2 run 3`. */
export function resultName(result: JudgedResult): string {
  const run = result.table.result?.run;
  return run !== undefined && run > 1 ? `${unitLabel(result)} run ${run}` : unitLabel(result);
}

/**
 * What a reviewer reads first: `F-017 build 2 FAIL: 134 % of tolerance, rebound 300 to 500 mm/s, softer, at R 6`, then how often this build
 * was tested and whether the bench's uncertainty is in the numbers.
 */
export function verdictSentence(result: JudgedResult): string {
  const head = `${resultName(result)} ${verdictWord(result.verdict, result.spec?.purpose)}`;
  const why = worstText(result) ?? result.reasons[0];
  const text = why === undefined ? head : `${head}: ${why}`;
  const bench = !result.benchIncluded && result.points.length > 0 ? 'bench uncertainty not included' : '';
  if (result.attempt <= 1) return bench === '' ? text : `${text} (${bench})`;
  const attempt = `${ORDINALS[result.attempt] ?? `${result.attempt}th`} test of this build`;
  return `${text} (${attempt}${bench === '' ? '' : ` and ${bench}`})`;
}

/** What the verdict asks for, by the purpose of the spec. */
export function verdictAdvice(result: JudgedResult): string {
  const scrutineering = result.spec?.purpose === 'scrutineering';
  if (result.verdict === 'fail')
    return scrutineering ? 'Shown to be out of tolerance: it is excluded.' : 'Do not ship it.';
  if (result.verdict === 'undecided')
    return scrutineering
      ? 'Not shown to be out: it is not excluded; retest as the findings say.'
      : 'Do not ship it before a retest decides.';
  return 'It concerns the measured curves alone.';
}

function worstText(result: JudgedResult): string | undefined {
  const worst = worstPointOf(result);
  if (worst?.share === undefined) return undefined;
  // A failed or undecided whole whose points all pass has its cause elsewhere, and that is what counts.
  if (result.verdict !== worst.verdict && result.reasons[0] !== undefined) return result.reasons[0];
  const band = bandOfWorst(result, worst);
  const speeds = band === undefined ? `at ${speedText(worst.velocity)}` : speedRangeText(band.from, band.to);
  const direction = worst.direction === undefined ? '' : `, ${worst.direction}`;
  const setting = atSettingOfSide(worst.setting, worst.side, result.spec);
  return `${percentText(worst.share)} of tolerance, ${worst.side} ${speeds}${direction}${setting}`;
}

/** The band that a failed or undecided worst point lies in; a pass is told by its one worst speed. */
function bandOfWorst(result: JudgedResult, { verdict }: JudgedPoint): DriftBand | undefined {
  return verdict === 'pass' ? undefined : result.bands.find((band) => band.points.includes(result.worst!));
}

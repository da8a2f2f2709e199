import { worseThan } from '../bands';
import type { Finding } from '../finding';
import type { DriftBand, JudgedPoint, UndecidedCause } from '../judgedResult';
import { positionOfRow } from '../pointOfRow';
import { speedRangeText } from '../wording';
import { bandText, driftEvidence, relatedRows } from './driftFromReference';
import type { RuleContext } from './ruleContext';
import { detailsLater, raise } from './ruleContext';

/** Other causes have rules of their own: spec-missing, reference-missing, setting-unknown, test-basis-differs, temperature-outside. */
const CAUSES: ReadonlySet<UndecidedCause | undefined> = new Set(['guard band', 'range', 'uncertainty']);

/** One finding per side and band that this test cannot decide, with what would settle it. */
export function driftUndecided(context: RuleContext): readonly Finding[] {
  if (context.judged.verdict === 'pass') return [];
  const all = context.judged.points;
  return context.judged.bands
    .filter((band) => band.verdict === 'undecided')
    .flatMap((band) => {
      const points = band.points.filter((i) => CAUSES.has(all[i]!.cause));
      if (points.length === 0) return [];
      const worstIndex = points.reduce((a, b) => (worseThan(all[b]!, all[a]!) ? b : a));
      const own: DriftBand = { ...band, worst: worstIndex, points };
      const worst = all[worstIndex]!;
      const at = positionOfRow(context.input, context.input.table.rows[worst.row]!);
      const says =
        worst.cause === 'guard band'
          ? bandText(context, own, worst)
          : `${band.side} ${speedsText(own, context)} is undecided`;
      return raise(context.overrides, 'drift-undecided', {
        at,
        message: `${context.unit}: ${says}. ${worst.reason ?? ''}`.trim(),
        next: nextStep(context, points),
        side: band.side,
        details: detailsLater(context.input, () => ({
          evidence: { ...driftEvidence(own, worst), ...settlingEvidence(worst) },
          related: relatedRows(context, own, at.file),
        })),
      });
    });
}

function speedsText(band: DriftBand, context: RuleContext): string {
  const speeds = band.points.map((i) => context.judged.points[i]!.velocity);
  return speedRangeText(Math.min(...speeds), Math.max(...speeds));
}

function settlingEvidence(worst: JudgedPoint): Finding['evidence'] {
  return worst.cyclesToSettle === undefined ? {} : { cyclesToSettle: worst.cyclesToSettle };
}

/** At release an undecided result does not ship; at scrutineering only a proven fail excludes. */
function nextStep(context: RuleContext, points: readonly number[]): string {
  const { input } = context;
  const judged = points.map((i) => context.judged.points[i]!);
  const settles = judged.every((p) => p.cyclesToSettle !== undefined);
  const cycles = settles ? Math.max(...judged.map((p) => p.cyclesToSettle!)) : undefined;
  const retest = retestText(judged, cycles);
  return input.spec?.purpose === 'scrutineering'
    ? `Not shown to be out. Retest as follows: ${retest}`
    : `Do not release it yet. ${retest.charAt(0).toUpperCase()}${retest.slice(1)}`;
}

function retestText(points: readonly JudgedPoint[], cycles: number | undefined): string {
  if (points.some((p) => p.cause === 'range')) return 'run the speeds of the reference, or extend the reference.';
  if (points.some((p) => p.cause === 'uncertainty'))
    return 'reduce the log again, so that the result states its uncertainty.';
  if (cycles !== undefined) return `run ${cycles} cycles in every step of this band after the same warm-up.`;
  return 'more cycles will not do; lessen the largest part of the uncertainty, or judge by repeated runs with remounting.';
}

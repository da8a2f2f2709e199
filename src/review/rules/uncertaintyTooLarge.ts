import { isJudged } from '../bands';
import type { Finding } from '../finding';
import type { JudgedPoint } from '../judgedResult';
import { pointOfRow, positionOfRow } from '../pointOfRow';
import { countText, evidenceNumber, forceText, percentText, settingText, speedText } from '../wording';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { raise, worstFirst } from './ruleContext';

/** U above a third of the tolerance, one finding a side. Where nothing is tolerated no test is fine enough, and the drift says so. */
export function uncertaintyTooLarge(context: RuleContext): readonly Finding[] {
  const limit = ruleLimit('uncertainty-too-large', context.overrides);
  if (!(context.judged.coarsest > limit)) return [];
  const coarse = context.judged.points.filter((p) => isJudged(p) && ratioOf(p) > limit && p.tolerance !== 0);
  return worstFirst(coarse, ratioOf).flatMap((group) => {
    const worst = group[0];
    const row = context.input.table.rows[worst.row]!;
    const at = positionOfRow(context.input, row);
    const U = worst.driftUncertainty!;
    const measured = pointOfRow(context.input, row, worst.side)?.uncertainty.parts ?? [];
    const parts = [...measured, ...(worst.runToRun === undefined ? [] : [{ name: 'run to run', ...worst.runToRun }])];
    const largest = parts.length === 0 ? undefined : parts.reduce((a, b) => (b.u > a.u ? b : a));
    const part = largest === undefined ? '' : ` The largest part of it is ${largest.name}.`;
    return raise(context.overrides, 'uncertainty-too-large', {
      at,
      message:
        `${context.unit}: ${worst.side} at ${speedText(worst.velocity)}, ${settingText(worst.setting)}: uncertainty ${forceText(U)} is ` +
        `${percentText(ratioOf(worst))} of the tolerance of ${forceText(worst.tolerance!)} (${countText(group.length, 'point')} above ${percentText(limit)}).${part}`,
      side: worst.side,
      evidence: {
        uncertainty_N: evidenceNumber(U),
        tolerance_N: evidenceNumber(worst.tolerance!),
        share_percent: evidenceNumber(ratioOf(worst) * 100),
        limit_percent: evidenceNumber(limit * 100),
        points: group.length,
        ...(largest !== undefined && { largestPart: largest.name, largestPart_N: evidenceNumber(largest.u) }),
      },
    });
  });
}

function ratioOf(point: JudgedPoint): number {
  return (point.driftUncertainty ?? NaN) / (point.tolerance ?? NaN);
}

import { isJudged, worseThan } from '../bands';
import type { Setting } from '../../files/spec';
import type { Finding } from '../finding';
import type { DriftBand, JudgedPoint } from '../judgedResult';
import { positionOfRow } from '../pointOfRow';
import {
  atSettingOfSide,
  countText,
  evidenceNumber,
  percentText,
  settingText,
  speedRangeText,
  speedText,
} from '../wording';
import type { RuleContext } from './ruleContext';
import { adviceOf, detailsLater, raise } from './ruleContext';

/** One finding per side and band that is out of tolerance, at its worst row. */
export function driftFromReference(context: RuleContext): readonly Finding[] {
  if (context.judged.verdict !== 'fail') return [];
  return context.judged.bands
    .filter((band) => band.verdict === 'fail')
    .flatMap((band) => {
      const { points } = context.judged;
      const worst = points[band.worst]!;
      const at = positionOfRow(context.input, context.input.table.rows[worst.row]!);
      const settings = countSettings(band.points.map((i) => points[i]!.setting));
      const others = settings > 1 ? ` ${countText(settings, 'setting')} are out in this band.` : '';
      return raise(context.overrides, 'drift-from-reference', {
        at,
        message: `${context.unit}: ${bandText(context, band, worst)}.${others}`,
        next: adviceOf('drift-from-reference'),
        side: band.side,
        details: detailsLater(context.input, () => ({
          evidence: driftEvidence(band, worst),
          related: relatedRows(context, band, at.file),
        })),
      });
    });
}

/** How many differ as they are read; most points share an object. */
function countSettings(settings: readonly Setting[]): number {
  return new Set([...new Set(settings)].map(settingText)).size;
}

/** `rebound 300 to 500 mm/s is 134 % of tolerance, softer, at R 6` */
export function bandText(context: RuleContext, band: DriftBand, worst: JudgedPoint): string {
  const share = worst.share === undefined ? 'out of its limits' : `${percentText(worst.share)} of tolerance`;
  const direction = worst.direction === undefined ? '' : `, ${worst.direction}`;
  const setting = atSettingOfSide(worst.setting, band.side, context.input.spec);
  return `${band.side} ${speedRangeText(band.from, band.to)} is ${share}${direction}${setting}`;
}

/** Numbers of a band's worst point. */
export function driftEvidence(band: DriftBand, worst: JudgedPoint): Finding['evidence'] {
  const numbers: Record<string, number | undefined> = {
    from_mm_s: band.from * 1000,
    to_mm_s: band.to * 1000,
    velocity_mm_s: worst.velocity * 1000,
    achieved_mm_s: worst.achieved * 1000,
    damping_N: worst.damping,
    reference_N: worst.reference,
    drift_N: worst.drift,
    tolerance_N: worst.tolerance,
    uncertainty_N: worst.driftUncertainty ?? worst.uncertainty,
    share_percent: worst.share === undefined ? undefined : worst.share * 100,
    drift_percent: worst.relativeDrift === undefined ? undefined : worst.relativeDrift * 100,
    points: band.points.length,
  };
  const evidence: Record<string, number | string> = { setting: settingText(worst.setting) };
  for (const [name, value] of Object.entries(numbers))
    if (value !== undefined && Number.isFinite(value)) evidence[name] = evidenceNumber(value);
  return evidence;
}

/** The band's other points in the same file, the worst first. */
export function relatedRows(context: RuleContext, band: DriftBand, file: string): NonNullable<Finding['related']> {
  const { points } = context.judged;
  return band.points
    .filter((i) => i !== band.worst && isJudged(points[i]!))
    .map((i) => points[i]!)
    .sort((a, b) => (worseThan(a, b) ? -1 : worseThan(b, a) ? 1 : 0))
    .flatMap((point) => {
      const at = positionOfRow(context.input, context.input.table.rows[point.row]!);
      if (at.file !== file) return [];
      const share = point.share === undefined ? '' : `: ${percentText(point.share)} of tolerance`;
      const direction = point.direction === undefined ? '' : `, ${point.direction}`;
      const message = `${point.side} at ${speedText(point.velocity)}, ${settingText(point.setting)}${share}${direction}`;
      return [{ position: at.position, message }];
    });
}

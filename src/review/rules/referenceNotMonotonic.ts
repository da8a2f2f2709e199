import type { Finding } from '../finding';
import { fallingRows } from '../fallingRows';
import { settingOfRow, speedOfRow } from '../referenceCurves';
import { evidenceNumber, forceText, settingText, speedText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Damping force of the reference falls as speed rises. A side that the spec calls regressive may do so. */
export function referenceNotMonotonic(context: RuleContext): readonly Finding[] {
  const { reference, spec } = context.input;
  if (reference === undefined) return [];
  return fallingRows(reference)
    .filter(({ side }) => spec?.hardware.valving?.[side] !== 'regressive')
    .flatMap(({ row, before, side, fall }) =>
      raise(context.overrides, 'reference-not-monotonic', {
        at: { file: reference.file, position: { line: Math.max(1, row.line), column: 1 } },
        message: `Reference at ${settingText(settingOfRow(reference, row))}: ${side} damping falls by ${forceText(fall)} from ${speedText(speedOfRow(before, side))} to ${speedText(speedOfRow(row, side))}.`,
        side,
        evidence: {
          fall_N: evidenceNumber(fall),
          from_mm_s: speedOfRow(before, side) * 1000,
          to_mm_s: speedOfRow(row, side) * 1000,
        },
      }),
    );
}

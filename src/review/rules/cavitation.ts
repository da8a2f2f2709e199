import { mayCavitate } from '../../analysis/loops/cavitationCeiling';
import { ceilingOfRow } from '../ceilingOfRow';
import { damperHardware } from '../damperHardware';
import type { Finding } from '../finding';
import { positionOfRow } from '../pointOfRow';
import { constantForceOf, settingOfRow } from '../referenceCurves';
import { evidenceNumber, forceText, percentText, settingText, speedText } from '../wording';
import { ruleLimit } from './catalogue';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/**
 * Compression damping near absolute gas pressure x (piston area - rod area), the most that a damper without base or reservoir valve holds.
 * A note where the spec does not say whether there is such a valve.
 */
export function cavitation(context: RuleContext): readonly Finding[] {
  const { input, unit, overrides } = context;
  const { spec } = input;
  if (spec === undefined || !mayCavitate(damperHardware(spec))) return [];
  const limit = ruleLimit('cavitation', overrides);
  const near = input.table.rows.flatMap((row) => {
    const constant = constantForceOf(input.table, row);
    const ceiling = ceilingOfRow(spec, input.table, row);
    if (constant === undefined || ceiling === undefined) return [];
    const damping = row.compression - constant;
    return damping > limit * ceiling ? [{ row, damping, ceiling, share: damping / ceiling }] : [];
  });
  const [worst] = near.sort((a, b) => b.share - a.share);
  if (worst === undefined) return [];
  const unsure = spec.hardware.baseValve === undefined ? ' if this damper has no base or reservoir valve' : '';
  return raise(overrides, 'cavitation', {
    at: positionOfRow(input, worst.row),
    message:
      `${unit}: compression damping of ${forceText(worst.damping)} at ${speedText(worst.row.velocity)}, ${settingText(settingOfRow(input.table, worst.row))}, ` +
      `is ${percentText(worst.share)} of the ${forceText(worst.ceiling)} that gas pressure holds${unsure}.`,
    side: 'compression',
    evidence: {
      damping_N: evidenceNumber(worst.damping),
      ceiling_N: evidenceNumber(worst.ceiling),
      share_percent: evidenceNumber(worst.share * 100),
      limit_percent: evidenceNumber(limit * 100),
      rows: near.length,
    },
    ...(spec.hardware.baseValve === undefined && { atMost: 'note' as const }),
  });
}

import { isOfTheDamper } from '../buildChange';
import { changeText } from '../changeText';
import type { Finding } from '../finding';
import type { ChangeSinceBuild } from '../judgedResult';
import { atHeader } from '../pointOfRow';
import { evidenceNumber } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** A build that differs from the one before by more than runs without a rebuild do, both tested on one bench in one state. */
export function changeSignificant(context: RuleContext): readonly Finding[] {
  const { change, unit, overrides, input } = context;
  if (change === undefined || !isOfTheDamper(change)) return [];
  return raise(overrides, 'change-significant', {
    at: atHeader(input),
    message: `${unit}: ${changeText(change)}`,
    details: () => ({ evidence: evidenceOf(change) }),
  });
}

function evidenceOf({ mean, since, pValue, tSquared, repeats, power }: ChangeSinceBuild): Finding['evidence'] {
  const percent = (share: number | undefined): number => evidenceNumber((share ?? 0) * 100, 4);
  return {
    since_build: since.build,
    since_file: since.file,
    compression_percent: percent(mean.compression),
    rebound_percent: percent(mean.rebound),
    tSquared: evidenceNumber(tSquared, 4),
    p: evidenceNumber(pValue, 3),
    runs: repeats.runs,
    dampers: repeats.units,
    degreesOfFreedom: repeats.degreesOfFreedom,
    ...Object.fromEntries(power.map((p) => [`power${p.change * 100}_percent`, evidenceNumber(p.probability * 100, 3)])),
  };
}

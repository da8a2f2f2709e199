import type { Finding } from '../finding';
import { outsideWindow } from '../obstacles';
import { positionOfRow } from '../pointOfRow';
import { countText, evidenceNumber, settingText, speedText, temperatureText } from '../wording';
import { settingOfRow } from '../referenceCurves';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Rows run outside the spec's temperature window, one finding a result at the worst. */
export function temperatureOutside(context: RuleContext): readonly Finding[] {
  const { input } = context;
  const window = input.spec?.test.temperature;
  if (window === undefined) return [];
  if (!input.table.rows.some((row) => outsideWindow(input, row))) return [];
  const distance = (t: number): number => Math.max(window[0] - t, t - window[1]);
  const outside = input.table.rows
    .filter((row) => outsideWindow(input, row))
    .sort((a, b) => distance(b.temperature!) - distance(a.temperature!));
  const [worst, ...rest] = outside;
  if (worst === undefined) return [];
  const at = positionOfRow(input, worst);
  const where = `${speedText(worst.velocity)} at ${settingText(settingOfRow(input.table, worst))}`;
  return raise(context.overrides, 'temperature-outside', {
    at,
    message: `${context.unit}: ${countText(outside.length, 'step')} outside ${temperatureText(window[0])} to ${temperatureText(window[1])} and not judged, the farthest ${where} with ${temperatureText(worst.temperature!)}.`,
    evidence: {
      temperature_Cel: evidenceNumber(worst.temperature! - 273.15),
      from_Cel: evidenceNumber(window[0] - 273.15),
      to_Cel: evidenceNumber(window[1] - 273.15),
      steps: outside.length,
    },
    related: rest.flatMap((row) => {
      const place = positionOfRow(input, row);
      const message = `${speedText(row.velocity)} at ${settingText(settingOfRow(input.table, row))}: ${temperatureText(row.temperature!)}`;
      return place.file === at.file ? [{ position: place.position, message }] : [];
    }),
  });
}

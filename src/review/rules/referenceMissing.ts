import type { Finding } from '../finding';
import { atHeader, positionOfRow } from '../pointOfRow';
import { countText, settingText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** No reference at all, or none for a setting. */
export function referenceMissing(context: RuleContext): readonly Finding[] {
  const { input, judged } = context;
  if (input.spec === undefined) return [];
  if (input.reference === undefined) {
    const path = input.spec.reference;
    const what =
      path === undefined
        ? `spec ${input.spec.id} names no reference`
        : `the reference ${path} of spec ${input.spec.id} is not there`;
    return raise(context.overrides, 'reference-missing', {
      at: atHeader(input),
      message: `${context.unit}: ${what}, so no drift is judged.`,
    });
  }
  if (!judged.lacksReference) return [];
  const without = new Map<string, number>();
  for (const point of judged.points)
    if (point.cause === 'reference' && !without.has(settingText(point.setting)))
      without.set(settingText(point.setting), point.row);
  const [first] = without;
  if (first === undefined) return [];
  const settings = [...without.keys()];
  const shown = settings.slice(0, 3).join('; ');
  const more = settings.length > 3 ? ` and ${settings.length - 3} more` : '';
  return raise(context.overrides, 'reference-missing', {
    at: positionOfRow(input, input.table.rows[first[1]]!),
    message: `${context.unit}: the reference has no curve for ${countText(settings.length, 'setting')} of this test: ${shown}${more}.`,
    evidence: { settings: settings.length },
  });
}

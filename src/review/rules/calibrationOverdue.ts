import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import { countText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

const DAY = 86_400_000;

/** The bench was past its calibration interval on the day of the test; today counts where the test bears no date. */
export function calibrationOverdue(context: RuleContext): readonly Finding[] {
  const { bench, table, logs, today } = context.input;
  if (bench?.calibrated === undefined || bench.calibrationInterval === undefined) return [];
  const date = table.result?.date ?? logs.find(({ head }) => head.date !== undefined)?.head.date;
  const tested = dayOf(date) ?? dayOf(today);
  const calibrated = dayOf(bench.calibrated);
  if (tested === undefined || calibrated === undefined) return [];
  const overdue = tested - calibrated - bench.calibrationInterval;
  if (!(overdue > 0)) return [];
  return raise(context.overrides, 'calibration-overdue', {
    at: atHeader(context.input),
    message: `${context.unit}: bench ${bench.id} was calibrated on ${bench.calibrated} for ${countText(bench.calibrationInterval, 'day')}; the test came ${countText(Math.ceil(overdue), 'day')} too late.`,
    evidence: {
      bench: bench.id,
      calibrated: bench.calibrated,
      interval_d: bench.calibrationInterval,
      overdue_d: Math.ceil(overdue),
    },
  });
}

/** Days since 1970 of the date part of an ISO 8601 text. */
function dayOf(text: string | undefined): number | undefined {
  const match = text === undefined ? null : /^\d{4}-\d{2}-\d{2}/.exec(text);
  if (match === null) return undefined;
  const time = Date.parse(`${match[0]}T00:00:00Z`);
  return Number.isNaN(time) ? undefined : time / DAY;
}

import type { LogEvent } from '../../analysis/reducedLog';
import type { Finding } from '../finding';
import type { LogUnderReview } from '../judgeInput';
import { countText, decimalText, evidenceNumber, forceText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

type EventOf<Kind extends LogEvent['kind']> = Extract<LogEvent, { kind: Kind }>;

/** Time that stands still or runs back: one finding a log, at the first place. */
export function timeNotIncreasing(context: RuleContext): readonly Finding[] {
  return firstOfLogs(context, 'time-not-increasing', (event, count) => ({
    rule: 'time-not-increasing' as const,
    message: `column time: ${secondsText(event.time)} s follows ${secondsText(event.previous)} s${places(count)}.`,
    evidence: { time_s: event.time, previous_s: event.previous, places: count },
  }));
}

/** Samples missing inside a stroke: one finding a log. */
export function timeGap(context: RuleContext): readonly Finding[] {
  return firstOfLogs(context, 'gap-in-stroke', (event, count) => ({
    rule: 'time-gap' as const,
    message: `samples are missing for ${secondsText(event.duration)} s inside a stroke${places(count)}; the cycle is left out.`,
    evidence: { gap_s: evidenceNumber(event.duration), places: count },
  }));
}

/** Force that stands at its extreme: one finding a log and extreme. */
export function forceClipped(context: RuleContext): readonly Finding[] {
  return firstOfLogs(context, 'force-clipped', (event) => ({
    rule: 'force-clipped' as const,
    message: `force stands at ${forceText(event.value)} for several samples in ${countText(event.strokes, 'stroke')}: the channel is at its end.`,
    evidence: { force_N: evidenceNumber(event.value), strokes: event.strokes },
  }));
}

/** A loop that gives energy out. Without its log a result shows it by the sign of its energy. */
export function signSuspect(context: RuleContext): readonly Finding[] {
  const fromLogs = firstOfLogs(context, 'sign-suspect', (event) => ({
    rule: 'sign-suspect' as const,
    message: `a cycle gives ${decimalText(-event.energy, 1)} J out instead of taking energy in: force or displacement has the wrong sign.`,
    evidence: { energy_J: evidenceNumber(event.energy) },
  }));
  if (context.input.logs.length > 0) return fromLogs;
  const row = context.input.table.rows.find((r) => (r.measured?.energy ?? 0) < 0);
  if (row === undefined) return [];
  return raise(context.overrides, 'sign-suspect', {
    at: { file: context.input.file, position: { line: Math.max(1, row.line), column: 1 } },
    message: `${context.unit}: energy of a cycle is ${decimalText(row.measured!.energy, 1)} J: force or displacement has the wrong sign.`,
    evidence: { energy_J: evidenceNumber(row.measured!.energy) },
  });
}

interface EventFinding {
  readonly rule: 'time-not-increasing' | 'time-gap' | 'force-clipped' | 'sign-suspect';
  readonly message: string;
  readonly evidence: Finding['evidence'];
}

function firstOfLogs<Kind extends LogEvent['kind']>(
  context: RuleContext,
  kind: Kind,
  describe: (event: EventOf<Kind>, count: number) => EventFinding,
): readonly Finding[] {
  return context.input.logs.flatMap((log) => {
    const events = log.reduced.events.filter((e): e is EventOf<Kind> => e.kind === kind);
    // Both ends of a force channel can be cut off, each is told; of the others the first place is enough.
    const told = kind === 'force-clipped' ? events : events.slice(0, 1);
    return told.flatMap((event) => {
      const { rule, message, evidence } = describe(event, events.length);
      return raise(context.overrides, rule, {
        at: atRow(log, event.row),
        message: `${context.unit}: ${message}`,
        evidence,
      });
    });
  });
}

function atRow(
  log: LogUnderReview,
  row: number,
): { readonly file: string; readonly position: { readonly line: number; readonly column: number } } {
  return { file: log.head.file, position: { line: log.lineOfRow(row), column: 1 } };
}

function places(count: number): string {
  return count > 1 ? `, and so in ${count} places` : '';
}

function secondsText(seconds: number): string {
  return decimalText(seconds, 6);
}

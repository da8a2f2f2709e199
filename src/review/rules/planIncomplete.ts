import { cyclesPerMinuteFor } from '../../analysis/motion/benchSpeed';
import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import {
  countText,
  decimalText,
  evidenceNumber,
  lengthText,
  listText,
  settingText,
  speedNumber,
  speedText,
} from '../wording';
import type { MissingPoint, RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Planned speeds that were not measured: `velocity-not-reached` where a step fell short, else `test-plan-incomplete`. */
export function planIncomplete(context: RuleContext): readonly Finding[] {
  if (context.missing.length === 0) return noCompleteStep(context);
  const short = context.missing.filter((m) => m.fellShortAt !== undefined);
  const absent = context.missing.filter((m) => m.fellShortAt === undefined);
  return [...notReached(context, short), ...notRun(context, absent), ...noCompleteStep(context)];
}

function notReached(context: RuleContext, short: readonly MissingPoint[]): readonly Finding[] {
  const worst = short.reduce<MissingPoint | undefined>(
    (a, b) => (a === undefined || shortfall(b) > shortfall(a) ? b : a),
    undefined,
  );
  if (worst === undefined) return [];
  const others = short.length > 1 ? ` (${countText(short.length, 'planned point')} in all)` : '';
  const needed = cyclesNeeded(context, worst.velocity);
  return raise(context.overrides, 'velocity-not-reached', {
    at: atHeader(context.input),
    message: `${context.unit}: ${speedText(worst.velocity)} was planned, the step reached ${speedText(worst.fellShortAt!)}, at ${settingText(worst.setting)}${others}.`,
    ...(needed !== undefined && {
      next: `Check stroke and frequency of that step on the bench, and run it again: ${speedText(worst.velocity)} over a stroke of ${lengthText(needed.stroke)} take ${decimalText(needed.cyclesPerMinute, 0)} cycles/min.`,
    }),
    evidence: {
      planned_mm_s: evidenceNumber(worst.velocity * 1000),
      reached_mm_s: evidenceNumber(worst.fellShortAt! * 1000),
      points: short.length,
      ...(needed !== undefined && { cyclesPerMinute: evidenceNumber(needed.cyclesPerMinute, 3) }),
    },
  });
}

/** What the bench would have to run at over the stroke of the test, else of the plan; undefined where neither, or not the drive, is known. */
function cyclesNeeded(
  { input }: RuleContext,
  velocity: number,
): { readonly stroke: number; readonly cyclesPerMinute: number } | undefined {
  const { drive, stroke = input.spec?.test.stroke } = input.table.basis;
  if (stroke === undefined || (drive !== 'sine' && drive !== 'triangle')) return undefined;
  return { stroke, cyclesPerMinute: cyclesPerMinuteFor(drive, stroke, velocity) };
}

function notRun(context: RuleContext, absent: readonly MissingPoint[]): readonly Finding[] {
  if (absent.length === 0 || context.input.logs.some(({ reduced }) => reduced.steps.length === 0)) return [];
  const speeds = [...new Set(absent.map((m) => m.velocity))].sort((a, b) => a - b).map(speedNumber);
  const settings = new Set(absent.map((m) => settingText(m.setting))).size;
  const where = settings > 1 ? ` at ${settings} settings` : '';
  return raise(context.overrides, 'test-plan-incomplete', {
    at: atHeader(context.input),
    message: `${context.unit}: ${countText(absent.length, 'planned point')} not measured: ${listText(speeds)} mm/s${where}.`,
    evidence: { points: absent.length, velocities_mm_s: speeds.join(', '), settings },
  });
}

function shortfall(point: MissingPoint): number {
  return 1 - (point.fellShortAt ?? 0) / point.velocity;
}

/** A log without a complete step measures nothing. */
function noCompleteStep(context: RuleContext): readonly Finding[] {
  return context.input.logs.flatMap((log) => {
    const { head, reduced } = log;
    if (head.kind === 'static' || reduced.steps.length > 0) return [];
    const event = reduced.events.find((e) => e.kind === 'no-step');
    const found =
      event === undefined
        ? ''
        : ` (${countText(event.strokes, 'stroke')}, ${countText(event.cycles, 'complete cycle')})`;
    return raise(context.overrides, 'test-plan-incomplete', {
      at: {
        file: head.file,
        position: { line: event === undefined ? head.headerLine : log.lineOfRow(event.row), column: 1 },
      },
      message: `${context.unit}: the log holds no step of at least two complete cycles at one speed${found}, so nothing is measured.`,
      next: 'Run at least two complete cycles at each speed, and record them without a break.',
      evidence: { rows: reduced.rows, ...(event !== undefined && { strokes: event.strokes, cycles: event.cycles }) },
    });
  });
}

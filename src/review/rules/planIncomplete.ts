import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import { countText, evidenceNumber, listText, settingText, speedNumber, speedText } from '../wording';
import type { MissingPoint, RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Planned speeds that were not measured: `velocity-not-reached` where a step fell short, else `test-plan-incomplete`. */
export function planIncomplete(context: RuleContext): readonly Finding[] {
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
  return raise(context.overrides, 'velocity-not-reached', {
    at: atHeader(context.input),
    message: `${context.unit}: ${speedText(worst.velocity)} was planned, the step reached ${speedText(worst.fellShortAt!)}, at ${settingText(worst.setting)}${others}.`,
    evidence: {
      planned_mm_s: evidenceNumber(worst.velocity * 1000),
      reached_mm_s: evidenceNumber(worst.fellShortAt! * 1000),
      points: short.length,
    },
  });
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

import type { Finding } from '../finding';
import { positionOfRow } from '../pointOfRow';
import type { JudgeInput } from '../judgeInput';
import { evidenceNumber, forceText, settingText, speedText, temperatureText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

type Place = ReturnType<typeof positionOfRow>;
interface Extreme {
  readonly value: number;
  readonly at: Place;
  readonly where: string;
}

/** Temperature, force and velocity beyond `limits` of the spec, the largest of each. */
export function limitExceeded(context: RuleContext): readonly Finding[] {
  const limits = context.input.spec?.limits;
  if (limits === undefined) return [];
  const check = (
    name: string,
    unit: string,
    limit: number | undefined,
    found: Extreme | undefined,
    text: (value: number) => string,
    scale: (value: number) => number,
  ): readonly Finding[] => {
    if (limit === undefined || found === undefined || !(found.value > limit * (1 + 1e-9))) return [];
    return raise(context.overrides, 'limit-exceeded', {
      at: found.at,
      message: `${context.unit}: ${name} reached ${text(found.value)}${found.where}; the spec allows ${text(limit)}.`,
      evidence: {
        [`${name}_${unit}`]: evidenceNumber(scale(found.value)),
        [`limit_${unit}`]: evidenceNumber(scale(limit)),
      },
    });
  };
  return [
    ...check('temperature', 'Cel', limits.maxTemperature, hottest(context.input), temperatureText, (k) => k - 273.15),
    ...check('force', 'N', limits.maxForce, strongest(context.input), forceText, (n) => n),
    ...check('velocity', 'mm_s', limits.maxVelocity, fastest(context.input), speedText, (v) => v * 1000),
  ];
}

function hottest(input: JudgeInput): Extreme | undefined {
  const rows = rowExtremes(input, (row) => row.temperature ?? NaN);
  const steps = input.logs.flatMap((log) =>
    log.reduced.steps.flatMap((step) => {
      if (step.temperature === undefined) return [];
      const value = Math.max(step.temperature.first, step.temperature.last, step.temperature.mean);
      return [
        { value, at: { file: log.head.file, position: { line: log.lineOfRow(step.firstRow), column: 1 } }, where: '' },
      ];
    }),
  );
  return largest([...steps, ...rows]);
}

/** Samples may reach higher than the force at peak speed. */
function strongest(input: JudgeInput): Extreme | undefined {
  const logs = input.logs.map(({ head, reduced }) => ({
    value: Math.max(Math.abs(reduced.forceRange[0]), Math.abs(reduced.forceRange[1])),
    at: { file: head.file, position: { line: head.headerLine, column: 1 } },
    where: '',
  }));
  return largest([...rowExtremes(input, (row) => Math.max(Math.abs(row.compression), Math.abs(row.rebound))), ...logs]);
}

function fastest(input: JudgeInput): Extreme | undefined {
  return largest(
    rowExtremes(input, (row) =>
      Math.max(row.velocity, row.measured?.compressionVelocity ?? 0, row.measured?.reboundVelocity ?? 0),
    ),
  );
}

function rowExtremes(input: JudgeInput, value: (row: JudgeInput['table']['rows'][number]) => number): Extreme[] {
  const rows = input.table.rows.filter((row) => Number.isFinite(value(row)));
  const top = rows.reduce<(typeof rows)[number] | undefined>(
    (a, b) => (a === undefined || value(b) > value(a) ? b : a),
    undefined,
  );
  if (top === undefined) return [];
  const setting =
    input.table.rows.length > 1 ? ` at ${speedText(top.velocity)}, ${settingText(settingOf(input, top))}` : '';
  return [{ value: value(top), at: positionOfRow(input, top), where: setting }];
}

function settingOf(input: JudgeInput, row: JudgeInput['table']['rows'][number]): Record<string, number> {
  return Object.fromEntries(input.table.adjusters.map(({ id }, i) => [id, row.setting[i] ?? NaN]));
}

function largest(extremes: readonly Extreme[]): Extreme | undefined {
  return extremes.reduce<Extreme | undefined>((a, b) => (a === undefined || b.value > a.value ? b : a), undefined);
}

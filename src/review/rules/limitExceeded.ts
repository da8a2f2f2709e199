import type { Spec } from '../../files/spec';
import type { Finding } from '../finding';
import { positionOfRow } from '../pointOfRow';
import type { JudgeInput } from '../judgeInput';
import { evidenceNumber, forceText, settingText, speedText, temperatureText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

type Place = ReturnType<typeof positionOfRow>;
interface Extreme {
  readonly value: number;
  /** Asked of the one that is told alone: its place, and its step as words. */
  readonly at: () => Place;
  readonly where: () => string;
}

type Row = JudgeInput['table']['rows'][number];

/** Temperature, force and velocity beyond `limits` of the spec, the largest of each. */
export function limitExceeded(context: RuleContext): readonly Finding[] {
  const { input } = context;
  const limits = input.spec?.limits;
  if (limits === undefined) return [];
  const { maxTemperature, maxForce, maxVelocity } = limits;
  if (input.logs.length === 0 && !isBeyond(input.table.rows, limits)) return [];
  return [
    ...exceeded(context, TEMPERATURE, maxTemperature, hottest),
    ...exceeded(context, FORCE, maxForce, strongest),
    ...exceeded(context, VELOCITY, maxVelocity, fastest),
  ];
}

/** Whether any row is beyond any limit, the cheap look at what nearly every result keeps. */
function isBeyond(rows: readonly Row[], { maxTemperature, maxForce, maxVelocity }: Spec['limits']): boolean {
  const hottest = maxTemperature ?? Infinity;
  const strongest = maxForce ?? Infinity;
  const fastest = maxVelocity ?? Infinity;
  for (const { temperature, compression, rebound, velocity, measured } of rows) {
    if (temperature !== undefined && temperature > hottest) return true;
    if (Math.abs(compression) > strongest || Math.abs(rebound) > strongest || velocity > fastest) return true;
    if (measured === undefined) continue;
    if (measured.compressionVelocity > fastest || measured.reboundVelocity > fastest) return true;
  }
  return false;
}

interface LimitedQuantity {
  readonly name: string;
  readonly unit: string;
  readonly text: (value: number) => string;
  readonly scale: (value: number) => number;
}

const TEMPERATURE: LimitedQuantity = {
  name: 'temperature',
  unit: 'Cel',
  text: temperatureText,
  scale: (k) => k - 273.15,
};
const FORCE: LimitedQuantity = { name: 'force', unit: 'N', text: forceText, scale: (n) => n };
const VELOCITY: LimitedQuantity = { name: 'velocity', unit: 'mm_s', text: speedText, scale: (v) => v * 1000 };

function exceeded(
  { input, overrides, unit }: RuleContext,
  quantity: LimitedQuantity,
  limit: number | undefined,
  find: (input: JudgeInput) => Extreme | undefined,
): readonly Finding[] {
  if (limit === undefined) return [];
  const found = find(input);
  if (found === undefined || !(found.value > limit * (1 + 1e-9))) return [];
  const { name, text, scale } = quantity;
  return raise(overrides, 'limit-exceeded', {
    at: found.at(),
    message: `${unit}: ${name} reached ${text(found.value)}${found.where()}; the spec allows ${text(limit)}.`,
    evidence: {
      [`${name}_${quantity.unit}`]: evidenceNumber(scale(found.value)),
      [`limit_${quantity.unit}`]: evidenceNumber(scale(limit)),
    },
  });
}

function hottest(input: JudgeInput): Extreme | undefined {
  const steps = input.logs.flatMap((log) =>
    log.reduced.steps.flatMap((step) => {
      if (step.temperature === undefined) return [];
      const value = Math.max(step.temperature.first, step.temperature.last, step.temperature.mean);
      return [ofLog(value, log.head.file, () => log.lineOfRow(step.firstRow))];
    }),
  );
  const row = rowExtreme(input, (one) => one.temperature ?? NaN);
  return largest(row === undefined ? steps : [...steps, row]);
}

/** Samples may reach higher than the force at peak speed. */
function strongest(input: JudgeInput): Extreme | undefined {
  const logs = input.logs.map(({ head, reduced }) =>
    ofLog(Math.max(Math.abs(reduced.forceRange[0]), Math.abs(reduced.forceRange[1])), head.file, () => head.headerLine),
  );
  const row = rowExtreme(input, ({ compression, rebound }) => Math.max(Math.abs(compression), Math.abs(rebound)));
  return largest(row === undefined ? logs : [row, ...logs]);
}

function fastest(input: JudgeInput): Extreme | undefined {
  return rowExtreme(input, ({ velocity, measured }) =>
    Math.max(velocity, measured?.compressionVelocity ?? 0, measured?.reboundVelocity ?? 0),
  );
}

function ofLog(value: number, file: string, line: () => number): Extreme {
  return { value, at: () => ({ file, position: { line: line(), column: 1 } }), where: () => '' };
}

/** The row of the largest value, the first of equals. */
function rowExtreme(input: JudgeInput, value: (row: Row) => number): Extreme | undefined {
  const { rows } = input.table;
  let top: Row | undefined;
  let most = NaN;
  for (const row of rows) {
    const own = value(row);
    if (!Number.isFinite(own) || own <= most) continue;
    top = row;
    most = own;
  }
  if (top === undefined) return undefined;
  const found = top;
  const where = (): string =>
    rows.length > 1 ? ` at ${speedText(found.velocity)}, ${settingText(settingOf(input, found))}` : '';
  return { value: most, at: () => positionOfRow(input, found), where };
}

function settingOf(input: JudgeInput, row: Row): Record<string, number> {
  return Object.fromEntries(input.table.adjusters.map(({ id }, i) => [id, row.setting[i] ?? NaN]));
}

function largest(extremes: readonly Extreme[]): Extreme | undefined {
  return extremes.reduce<Extreme | undefined>((a, b) => (a === undefined || b.value > a.value ? b : a), undefined);
}

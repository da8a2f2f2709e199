import type { MeasuredPoint, StepKey } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import type { ForceRow } from '../files/forceTable';
import type { SourcePosition } from '../files/problem';
import type { JudgeInput } from './judgeInput';
import { positionOfStep } from './judgeInput';
import { speedOfRow } from './referenceCurves';

/** Rounding of a result moves a speed by less than this [m/s]; other steps are farther away. */
const SAME_STEP = 0.0005;

/** The analysed point behind a row of the table; undefined where the log is not there or does not hold it. */
export function pointOfRow(input: Pick<JudgeInput, 'analysis'>, row: ForceRow, side: Side): MeasuredPoint | undefined {
  const speed = speedOfRow(row, side);
  const alike = pointsAt(input, row.setting, side).filter((p) => Math.abs(p.speed - speed) <= SAME_STEP);
  if (alike.length <= 1) return alike[0];
  // Repeats of one speed: the pass tells them apart, or else the force, which a rounded row still shows.
  const samePass = alike.filter((p) => p.pass === row.pass);
  const candidates = samePass.length > 0 ? samePass : alike;
  return candidates.reduce((a, b) => (Math.abs(b.force - row[side]) < Math.abs(a.force - row[side]) ? b : a));
}

/** The step behind a row, by either side. */
export function stepOfRow(input: JudgeInput, row: ForceRow): StepKey | undefined {
  for (const side of SIDES) {
    const point = pointOfRow(input, row, side);
    if (point !== undefined) return point.key;
  }
  return undefined;
}

/** Where a row is seen: its line where the table is a file, else the step's first sample in the log, else the header. */
export function positionOfRow(
  input: JudgeInput,
  row: ForceRow,
): { readonly file: string; readonly position: SourcePosition } {
  if (row.line > 0) return { file: input.file, position: { line: row.line, column: 1 } };
  const key = stepOfRow(input, row);
  return key === undefined ? atHeader(input) : positionOfStep(input, key);
}

/** The header line of the table, or of the first log where no table was written. */
export function atHeader(input: JudgeInput): { readonly file: string; readonly position: SourcePosition } {
  const head = input.provenance.kind === 'measured' ? input.logs[0]?.head : undefined;
  return {
    file: head?.file ?? input.file,
    position: { line: Math.max(1, head?.headerLine ?? input.table.headerLine), column: 1 },
  };
}

type Index = ReadonlyMap<string, readonly MeasuredPoint[]>;
const indices = new WeakMap<object, Index>();

function pointsAt(
  { analysis }: Pick<JudgeInput, 'analysis'>,
  setting: readonly number[],
  side: Side,
): readonly MeasuredPoint[] {
  if (analysis === undefined) return [];
  let index = indices.get(analysis);
  if (index === undefined) {
    const groups = new Map<string, MeasuredPoint[]>();
    for (const point of analysis.points) {
      const name = nameOf(point.setting, point.side);
      const group = groups.get(name);
      if (group === undefined) groups.set(name, [point]);
      else group.push(point);
    }
    index = groups;
    indices.set(analysis, index);
  }
  return index.get(nameOf(setting, side)) ?? [];
}

function nameOf(setting: readonly number[], side: Side): string {
  return `${side} ${setting.join(' ')}`;
}

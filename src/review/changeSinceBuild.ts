import { buildChange } from './buildChange';
import type { ComparedRun } from './comparison';
import type { ChangeSinceBuild } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { meanRelative } from './pairedForces';
import { pairRows } from './pairedRows';

/** Holds a result against the latest test of the build before it, as `compare` does, without what only a comparison shows of its points. */
export function changeSinceBuild(input: JudgeInput): ChangeSinceBuild | undefined {
  const { before, runToRun, table } = input;
  if (before === undefined || runToRun === undefined) return undefined;
  const mean = meanRelative(before.table, table, pairRows(before.table, table));
  const change = buildChange(before, ownRun(input, before), mean, runToRun);
  if (change === undefined) return undefined;
  return Object.assign(change, { since: { build: before.build, file: before.file }, mean });
}

function ownRun({ file, table, bench }: JudgeInput, before: ComparedRun): ComparedRun {
  const { result } = table;
  const run: { -readonly [Key in keyof ComparedRun]: ComparedRun[Key] } = {
    label: file,
    file,
    serial: result?.serial ?? '',
    build: result?.build ?? '',
    // Both are of one spec, or the session would not have put them together; it may bear two ids over time.
    specId: before.specId,
    table,
  };
  if (result?.date !== undefined) run.date = result.date;
  if (result?.bench !== undefined) run.bench = result.bench;
  if (bench !== undefined) run.benchData = bench;
  return run;
}

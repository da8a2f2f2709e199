import type { ForceTable } from '../files/forceTable';
import type { ComparedRun } from '../review/comparison';
import type { FileQueries } from './fileQueries';
import type { Reading } from './query';

/** A table as one side of a comparison, with what its repository knows of spec and bench. */
export function comparedRun(
  label: string,
  file: string,
  table: ForceTable,
  files: FileQueries,
  read: Reading,
): ComparedRun {
  const found = read.get(files.specOfId, table.spec);
  const ids = found.kind === 'one' ? read.get(files.specIds, found.path) : undefined;
  const { result } = table;
  const benchData = result?.bench === undefined ? undefined : read.get(files.bench, result.bench);
  // Key by key, as each result of a spec with repeats passes here.
  const run: { -readonly [Key in keyof ComparedRun]: ComparedRun[Key] } = {
    label,
    file,
    serial: result?.serial ?? '',
    build: result?.build ?? '',
    specId: ids?.id ?? table.spec,
    table,
  };
  if (result?.date !== undefined) run.date = result.date;
  if (result?.bench !== undefined) run.bench = result.bench;
  if (benchData !== undefined) run.benchData = benchData;
  return run;
}

import { parseColumnHeader } from '../quantities/columnHeader';
import { MEASURED_COLUMNS } from './forceColumns';
import type { ForceTable } from './forceTable';
import type { FileProblem } from './problem';
import { wholeLine } from './problemText';
import { KIND_WORDS } from './recognise';

/** What a table is by its name. */
export function namedKind(file: string): ForceTable['kind'] {
  return /\.refcurve\.csv$/i.test(file) ? 'reference' : 'result';
}

/** The kind by name, unless the content is clearly of the other: then that, and a finding. */
export function kindOf(
  file: string,
  entries: ReadonlyMap<string, unknown>,
  header: string,
  delimiter: string,
): { kind: ForceTable['kind']; differs: FileProblem[] } {
  const named = namedKind(file);
  const names = header.split(delimiter).map((cell) => parseColumnHeader(cell).name);
  const measured = entries.has('serial') || names.some((name) => Object.hasOwn(MEASURED_COLUMNS, name));
  const kind = measured ? 'result' : entries.has('adopted') ? 'reference' : named;
  if (kind === named) return { kind, differs: [] };
  const message = `By its name this is ${KIND_WORDS[named]}; by its content it is ${KIND_WORDS[kind]}.`;
  const remedy =
    kind === 'result'
      ? 'Make it the reference by adopting it, or rename it to .result.csv.'
      : 'Rename it to .refcurve.csv.';
  return { kind, differs: [{ rule: 'file-kind-differs', file, position: wholeLine(1), message, remedy }] };
}

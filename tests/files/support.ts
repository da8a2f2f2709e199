import { copyOfRow } from '../../src/files/forceRow';
import type { ForceTable } from '../../src/files/forceTable';
import type { FileProblem } from '../../src/files/problem';

export function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

/** What every problem must say: where, which column or key, which value, and what to do. */
export function told(problem: FileProblem | undefined): Record<string, unknown> {
  if (problem === undefined) return { missing: 'no problem was found' };
  const { rule, position, column, value, message, remedy } = problem;
  return { rule, line: position.line, column: position.column, key: column, value, message, remedy };
}

/** The one problem of a file, which must be the only one. */
export function onlyProblem(problems: readonly FileProblem[]): FileProblem {
  if (problems.length !== 1)
    throw new Error(`expected one problem, found ${JSON.stringify(problems.map(told), null, 1)}`);
  return problems[0]!;
}

/** A table whose rows are objects, to hold against one that was written down: of a plain table they are views of its numbers. */
export function copyOfTable(table: ForceTable): ForceTable {
  return { ...table, rows: table.rows.map(copyOfRow) };
}

import type { ForceTable } from '../files/forceTable';
import { readForceTable } from '../files/readForceTable';
import { keyChanges, type KeyChange } from '../review/branch/keyChange';
import { tableChanges, type RowChange } from '../review/tableChange';

/** Two states of a result or of reference curves, as a diff shows them. */
export interface TableDiff {
  readonly path: string;
  /** Keys of the preamble that differ, as written. */
  readonly preamble: readonly KeyChange[];
  readonly rows: readonly RowChange[];
  /** Why it cannot be shown as a table; the lines are then to be shown as they are. */
  readonly problem?: string;
}

/** Holds two states of one file against each other. @param before bytes; absent where the file came or went */
export function diffTables(path: string, before: Uint8Array | undefined, after: Uint8Array | undefined): TableDiff {
  const tables: (ForceTable | undefined)[] = [];
  for (const bytes of [before, after]) {
    const read = bytes === undefined ? undefined : readForceTable(path, bytes);
    if (read !== undefined && (read.table === undefined || read.problems.length > 0)) {
      const [problem] = read.problems;
      const where = problem === undefined ? '' : ` (line ${problem.position.line}: ${problem.message})`;
      return { path, preamble: [], rows: [], problem: `It cannot be read as a table${where}.` };
    }
    tables.push(read?.table);
  }
  const preamble = before === undefined || after === undefined ? [] : keyChanges(keysOf(before), keysOf(after));
  return { path, preamble, rows: tableChanges(tables[0], tables[1]) };
}

function keysOf(bytes: Uint8Array): ReadonlyMap<string, string> {
  const keys = new Map<string, string>();
  for (const line of new TextDecoder().decode(bytes).split(/\r?\n/u)) {
    const match = /^#\s*([^:]+?)\s*:\s*(.*)$/u.exec(line);
    if (match !== null) keys.set(match[1]!, match[2]!);
  }
  return keys;
}

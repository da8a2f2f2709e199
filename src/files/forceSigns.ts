import type { ForceRow, ForceTable } from './forceTable';
import type { FileProblem } from './problem';
import { wholeLine } from './problemText';

/**
 * `sign-suspect` where the forces of a table cannot be a damper's by our signs. Three tests that gas force cannot fool:
 * compression below rebound in a row, as the difference is the damping of both sides; and a side whose force grows the wrong way
 * from the lowest to the highest speed and has the wrong sign there, as gas is the same at both.
 */
export function forceSignProblems(table: ForceTable): FileProblem[] {
  const crossed = table.rows.filter((row) => row.compression < row.rebound); // never where one was not measured
  const both =
    crossed.length === 0 ? 0 : table.rows.filter((row) => !Number.isNaN(row.compression - row.rebound)).length;
  if (crossed.length > 0 && crossed.length === both) return [allCrossed(table, crossed[0]!)];
  const problems = crossed.slice(0, 5).map((row) => crossedRow(table, row));
  for (const side of SIDES) if (mayGoWrongWay(table.rows, side)) problems.push(...wrongWay(table, side));
  return problems;
}

const SIDES = ['compression', 'rebound'] as const;
type Side = (typeof SIDES)[number];

/**
 * Whether a row of the wrong sign may be the fastest of its setting. Not where the next one is faster, as in every table that rises from row
 * to row: then nobody needs to know the ends of the curves, and most results are told so.
 */
function mayGoWrongWay(rows: readonly ForceRow[], side: Side): boolean {
  const sign = side === 'compression' ? 1 : -1;
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    if (!(sign * row[side] < 0)) continue;
    const next = rows[i + 1];
    if (next?.setting !== row.setting || !(next.velocity >= row.velocity) || Number.isNaN(next[side])) return true;
  }
  return false;
}

function allCrossed(table: ForceTable, row: ForceRow): FileProblem {
  return {
    ...suspect(table, table.headerLine, 'compression', `${row.compression}`),
    message: 'Compression is below rebound in every row; forces here are positive in compression.',
    remedy: 'Exchange the two columns if they were taken for each other, or turn the sign of both.',
  };
}

function crossedRow(table: ForceTable, row: ForceRow): FileProblem {
  return {
    ...suspect(table, row.line, 'compression', `${row.compression}`),
    message: 'Compression is below rebound in this row: the damper would give energy out.',
    remedy: 'Check whether the two cells were exchanged or a sign was lost.',
  };
}

/** A side that moves towards the other with speed. Rebound written without its sign is the usual case. */
function wrongWay(table: ForceTable, side: Side): FileProblem[] {
  const sign = side === 'compression' ? 1 : -1;
  const suspects: ForceRow[] = [];
  for (const { slow, fast } of extremes(table.rows, side)) {
    if (sign * fast[side] < 0 && sign * (fast[side] - slow[side]) < 0 && fast.velocity > 2 * slow.velocity)
      suspects.push(fast);
  }
  if (suspects.length === 0) return [];
  const fast = suspects[0]!;
  return [
    {
      ...suspect(table, fast.line, side, `${fast[side]}`),
      message: `The force in ${side} is ${sign > 0 ? 'negative and falls' : 'positive and rises'} with speed${suspects.length > 1 ? ` at ${suspects.length} settings` : ''}; forces here are positive in compression and negative in rebound.`,
      remedy: `Turn the sign of the column '${side}'.`,
    },
  ];
}

interface Extremes {
  /** The first of the rows of lowest speed. */
  slow: ForceRow;
  /** The last of the rows of highest speed. */
  fast: ForceRow;
}

/** The ends of each setting's curve of one side, settings in the order in which they come. */
function extremes(rows: readonly ForceRow[], side: Side): Iterable<Extremes> {
  const settings = new Map<string, Extremes>();
  let before: { readonly setting: readonly number[]; readonly ends: Extremes } | undefined;
  for (const row of rows) {
    if (Number.isNaN(row[side])) continue;
    // Rows of a setting follow each other as a rule: a text that names it is made where it changes, not for every row.
    const { setting } = row;
    let ends: Extremes | undefined;
    if (before?.setting.every((position, at) => position === setting[at]) === true) ends = before.ends;
    else {
      const key = setting.join(' ');
      ends = settings.get(key) ?? { slow: row, fast: row };
      settings.set(key, ends);
      before = { setting, ends };
    }
    if (row.velocity < ends.slow.velocity) ends.slow = row;
    if (row.velocity >= ends.fast.velocity) ends.fast = row;
  }
  return settings.values();
}

function suspect(
  table: ForceTable,
  line: number,
  column: string,
  value: string,
): Pick<FileProblem, 'rule' | 'file' | 'position' | 'column' | 'value'> {
  return { rule: 'sign-suspect', file: table.file, position: wholeLine(line), column, value };
}

import type { ForceRow } from './forceTable';
import type { FileProblem } from './problem';
import { ProblemList, wholeLine } from './problemText';

/** Keeps the first of rows that say the same setting, velocity and pass; the same array where there are none. */
export function withoutRepeats(
  file: string,
  rows: readonly ForceRow[],
): { rows: readonly ForceRow[]; problems: FileProblem[] } {
  // A table that this program wrote rises from row to row: comparing neighbours is enough, and spares a text for every row.
  if (isRising(rows)) return { rows, problems: [] };
  const firstLines = new Map<string, number>();
  const repeated = new ProblemList(file, 'row-repeated');
  const kept = rows.filter((row) => {
    const key = [...row.setting, row.velocity, row.pass].join(' ');
    const first = firstLines.get(key);
    if (first === undefined) firstLines.set(key, row.line);
    else {
      repeated.add({
        position: wholeLine(row.line),
        column: 'velocity',
        value: `line ${first}`,
        message: `The row repeats the setting and velocity of line ${first}; the first one counts.`,
        remedy: "Remove one of the two, or number them in a column 'pass' if both were run.",
      });
    }
    return first === undefined;
  });
  return { rows: kept, problems: repeated.all() };
}

function isRising(rows: readonly ForceRow[]): boolean {
  for (let i = 1; i < rows.length; i++) if (!isBehind(rows[i]!, rows[i - 1]!)) return false;
  return true;
}

/** Whether a row's setting, velocity and pass come after those of the row before, the first that differs deciding. */
function isBehind(row: ForceRow, before: ForceRow): boolean {
  for (let adjuster = 0; adjuster < row.setting.length; adjuster++) {
    const step = row.setting[adjuster]! - before.setting[adjuster]!;
    if (step !== 0) return step > 0;
  }
  return row.velocity === before.velocity ? row.pass > before.pass : row.velocity > before.velocity;
}

import type { ForceRow, ForceTable } from '../../files/forceTable';
import type { Setting } from '../../files/spec';
import type { Finding } from '../finding';
import { settingsOfTable } from '../referenceCurves';
import { settingText, speedText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Rows of one setting, velocity and pass, in a written result or in the reference. No line stands in the message, as lines move. */
export function rowRepeated(context: RuleContext): readonly Finding[] {
  const { table, reference } = context.input;
  const own = repeatedRows(context, table);
  const ofReference = reference === undefined ? NONE : repeatedRows(context, reference);
  return ofReference.length === 0 ? own : [...own, ...ofReference];
}

function repeatedRows({ overrides }: RuleContext, table: ForceTable): readonly Finding[] {
  const repeats = repeatsOf(table);
  if (repeats.length === 0) return NONE;
  const counts = table.kind === 'reference' ? 'the first one counts' : 'both are judged';
  return repeats.flatMap(({ row, setting, firstLine }) =>
    raise(overrides, 'row-repeated', {
      at: { file: table.file, position: { line: row.line, column: 1 } },
      message: `${settingText(setting)} at ${speedText(row.velocity)}, pass ${row.pass}, stands here for the second time; ${counts}.`,
      related: [{ position: { line: firstLine, column: 1 }, message: 'The first of them.' }],
    }),
  );
}

const NONE: readonly never[] = [];

interface RepeatedRow {
  readonly row: ForceRow;
  readonly setting: Setting;
  readonly firstLine: number;
}

/** Looked for once a table, as every result is held against its reference again. */
const known = new WeakMap<ForceTable, readonly RepeatedRow[]>();

function repeatsOf(table: ForceTable): readonly RepeatedRow[] {
  let repeats = known.get(table);
  if (repeats === undefined) known.set(table, (repeats = findRepeats(table)));
  return repeats;
}

function findRepeats(table: ForceTable): readonly RepeatedRow[] {
  const groups = settingsOfTable(table);
  if (groups.all.every(({ rows }) => runsUp(rows))) return NONE;
  const first = new Map<string, number>();
  return table.rows.flatMap((row, i) => {
    if (row.line === 0) return [];
    const { key, setting } = groups.ofRows[i]!;
    const name = `${key}\n${row.velocity}\n${row.pass}`;
    const firstLine = first.get(name);
    if (firstLine === undefined) first.set(name, row.line);
    return firstLine === undefined ? [] : [{ row, setting, firstLine }];
  });
}

/** Where speeds rise from row to row, as a table is written, none is there twice. */
function runsUp(rows: readonly ForceRow[]): boolean {
  for (let i = 1; i < rows.length; i++) if (!(rows[i]!.velocity > rows[i - 1]!.velocity)) return false;
  return true;
}

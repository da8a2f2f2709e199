import type { ForceTable } from '../../files/forceTable';
import type { Finding } from '../finding';
import { settingKey, settingOfRow } from '../referenceCurves';
import { settingText, speedText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Rows of one setting, velocity and pass, in a written result or in the reference. No line stands in the message, as lines move. */
export function rowRepeated(context: RuleContext): readonly Finding[] {
  const tables = [context.input.table, context.input.reference].filter((t) => t !== undefined);
  return tables.flatMap((table) => repeatedRows(context, table));
}

function repeatedRows(context: RuleContext, table: ForceTable): readonly Finding[] {
  const first = new Map<string, number>();
  return table.rows.flatMap((row) => {
    if (row.line === 0) return [];
    const setting = settingOfRow(table, row);
    const key = `${settingKey(setting)}\n${row.velocity}\n${row.pass}`;
    const before = first.get(key);
    if (before === undefined) {
      first.set(key, row.line);
      return [];
    }
    const counts = table.kind === 'reference' ? 'the first one counts' : 'both are judged';
    return raise(context.overrides, 'row-repeated', {
      at: { file: table.file, position: { line: row.line, column: 1 } },
      message: `${settingText(setting)} at ${speedText(row.velocity)}, pass ${row.pass}, stands here for the second time; ${counts}.`,
      related: [{ position: { line: before, column: 1 }, message: 'The first of them.' }],
    });
  });
}

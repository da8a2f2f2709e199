import type { AdjusterReview } from '../adjusters/adjusterReview';
import type { SourcePosition } from '../../files/problem';
import { atHeader, positionOfRow } from '../pointOfRow';
import { settingKey, settingOfRow } from '../referenceCurves';
import type { RuleContext } from './ruleContext';

/** Where a position of a sweep is seen: its first row, or the last run of it. */
export function placeOfPosition(
  context: RuleContext,
  sweep: AdjusterReview,
  position: number,
  run: 'first' | 'last' = 'first',
): { readonly file: string; readonly position: SourcePosition } {
  const { input } = context;
  const setting = sweep.settings[sweep.positions.indexOf(position)];
  if (setting === undefined) return atHeader(input);
  const key = settingKey(setting);
  const rows = input.table.rows.filter((row) => settingKey(settingOfRow(input.table, row)) === key);
  const pass = run === 'first' ? 1 : Math.max(...rows.map((row) => row.pass));
  const row = rows.find((candidate) => candidate.pass === pass);
  return row === undefined ? atHeader(input) : positionOfRow(input, row);
}

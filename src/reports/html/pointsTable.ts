import type { JudgedPoint, JudgedResult } from '../../review/judgedResult';
import { countText, listText, settingText, speedText } from '../../review/wording';
import { bare } from '../../text/figures';
import { rowsBySetting, type PointRow, type SettingRows } from '../driftFigures';
import { POINT_COLUMNS, type PointColumn } from '../pointCells';
import { markup, type SafeHtml } from './safeHtml';

/** Every measured point: the setting of the worst one open, all others folded away. */
export function pointsTables(result: JudgedResult): SafeHtml {
  const [first, ...others] = rowsBySetting(result);
  if (first === undefined) return markup`<p>No force was measured.</p>`;
  return markup`<h3>Points</h3>
    ${table(first, true)} ${undecidedReasons(first.rows)}
    ${
      others.length > 0 &&
      markup`<details>
        <summary>${countText(others.length, 'more setting')}</summary>
        ${others.map((group) => markup`${table(group, false)}${undecidedReasons(group.rows)}`)}
      </details>`
    }`;
}

function table(group: SettingRows, full: boolean): SafeHtml {
  const columns = POINT_COLUMNS.filter((column) => full || !column.detail);
  const span = columns.length + 1;
  const name = Object.keys(group.setting).length === 0 ? 'Forces in N' : `${settingText(group.setting)}, forces in N`;
  const heads = (['compression', 'rebound'] as const).map(() =>
    [...columns.map(({ head }) => head), 'Verdict'].map((head, i) => markup`<th scope="col"${edge(i)}>${head}</th>`),
  );
  return markup`<div class="scroll" tabindex="0" role="group" aria-label="${name}">
    <table class="points">
      <caption>${name}</caption>
      <thead>
        <tr>
          <th rowspan="2" scope="col">mm/s</th>
          <th colspan="${span}" scope="colgroup" class="side edge">Compression</th>
          <th colspan="${span}" scope="colgroup" class="side edge">Rebound</th>
        </tr>
        <tr>
          ${heads.flat()}
        </tr>
      </thead>
      <tbody>
        ${group.rows.map((row) => bodyRow(row, columns))}
      </tbody>
    </table>
  </div>`;
}

/** End tags that HTML lets go are left out: a sweep has a thousand rows. */
function bodyRow(row: PointRow, columns: readonly PointColumn[]): SafeHtml {
  const pass = row.pass > 1 ? ` (run ${row.pass})` : '';
  const cells = [row.compression, row.rebound].flatMap((point) => [
    ...columns.map(({ cell }, i) => markup`<td${edge(i)}>${point === undefined ? '' : cell(point)}`),
    point === undefined ? markup`<td>` : verdictCell(point),
  ]);
  return markup`<tr><th scope="row">${bare.speed(row.velocity)}${pass}${cells}\n`;
}

function edge(index: number): SafeHtml | undefined {
  return index === 0 ? markup` class="edge"` : undefined;
}

function verdictCell(point: JudgedPoint): SafeHtml {
  if (point.verdict === 'pass') return markup`<td>pass`;
  return point.verdict === 'fail' ? markup`<td class="out">fail` : markup`<td class="open">undecided`;
}

/** Why points are undecided, each reason once with its speeds. */
function undecidedReasons(rows: readonly PointRow[]): SafeHtml | undefined {
  const reasons = new Map<string, string[]>();
  for (const row of rows)
    for (const point of [row.compression, row.rebound])
      if (point?.reason !== undefined)
        reasons.set(point.reason, [...(reasons.get(point.reason) ?? []), `${point.side} ${speedText(point.velocity)}`]);
  if (reasons.size === 0) return undefined;
  const items = [...reasons].map(([reason, places]) => markup`<li>${placesText(places)}: ${reason}</li>`);
  return markup`<p class="quiet">Undecided:</p>
    <ul class="quiet">
      ${items}
    </ul>`;
}

function placesText(places: readonly string[]): string {
  return places.length > 6 ? countText(places.length, 'point') : listText(places);
}

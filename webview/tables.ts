import { escapeCsvCell } from '../src/text/csvCell';
import type { ColumnView, PageView, RowView, TableView } from '../src/protocol/views';
import { button, element } from './dom';
import { tellHost } from './host';

type Choose = (row: number) => void;

/** The tables behind the charts, folded where the view says so and the reader has not unfolded them. */
export function tables({ tables: all, title }: PageView, unfolded: ReadonlySet<string>, onChosen: Choose): Node[] {
  return all.map((table) => tableFold(table, title, unfolded, onChosen));
}

/** One table, folded away or not. @param title what a file is named after that it is saved to */
export function tableFold(
  table: TableView,
  title: string,
  unfolded: ReadonlySet<string>,
  onChosen: Choose,
): HTMLElement {
  const id = `fold-${table.id}`;
  return element(
    'details',
    { id, open: !table.folded || unfolded.has(id) },
    element('summary', {}, table.caption),
    element(
      'div',
      { class: 'scroller', tabindex: '0', role: 'region', 'aria-label': table.caption },
      tableOf(table, onChosen),
    ),
    button('Save table as CSV', () => {
      tellHost({ kind: 'save', format: 'csv', name: `${title} ${table.id}`.slice(0, 200), data: csvOf(table) });
    }),
  );
}

function tableOf({ caption, columns, rows, id }: TableView, onChosen: Choose): HTMLTableElement {
  const grouped = columns.some(({ group }) => group !== undefined);
  return element(
    'table',
    { id: `table-${id}` },
    element('caption', {}, caption),
    element(
      'thead',
      {},
      grouped ? element('tr', {}, ...groupsOf(columns)) : undefined,
      element(
        'tr',
        {},
        ...columns.map(({ head, numeric }) => element('th', { scope: 'col', class: numeric && 'number' }, head)),
      ),
    ),
    element('tbody', {}, ...rows.map((row) => rowOf(row, columns, onChosen))),
  );
}

function groupsOf(columns: readonly ColumnView[]): Node[] {
  const heads: { group: string; span: number }[] = [];
  for (const { group = '' } of columns) {
    const last = heads.at(-1);
    if (last?.group === group) last.span += 1;
    else heads.push({ group, span: 1 });
  }
  return heads.map(({ group, span }) =>
    group === ''
      ? element('td', { colspan: String(span) })
      : element('th', { scope: 'colgroup', colspan: String(span) }, group),
  );
}

function rowOf({ row, cells, verdict }: RowView, columns: readonly ColumnView[], onChosen: Choose): Node {
  const made = element('tr', {
    class: verdict === undefined ? undefined : `row-${verdict}`,
    'data-row': row === undefined ? undefined : String(row),
  });
  cells.forEach((cell, i) => {
    const numeric = columns[i]?.numeric === true && 'number';
    const reach = i === 0 && row !== undefined && row > 0;
    made.append(
      reach
        ? element(
            'th',
            { scope: 'row', class: numeric },
            button(
              cell,
              () => {
                onChosen(row);
              },
              { class: 'plain', 'aria-label': `${cell}, select row ${row}` },
            ),
          )
        : element('td', { class: numeric }, cell),
    );
  });
  return made;
}

export function selectInTables(row: number): void {
  for (const one of document.querySelectorAll('tr[data-row]')) {
    const chosen = one.getAttribute('data-row') === String(row);
    one.classList.toggle('chosen', chosen);
    if (chosen) one.setAttribute('aria-current', 'true');
    else one.removeAttribute('aria-current');
  }
}

/** RFC 4180, cells made harmless for spreadsheets by the one escaper of that sink. */
export function csvOf({ columns, rows }: Pick<TableView, 'columns' | 'rows'>): string {
  const heads = columns.map(({ group, head }) => (group === undefined ? head : `${group} ${head}`));
  return (
    [heads, ...rows.map(({ cells }) => cells)].map((cells) => cells.map(escapeCsvCell).join(',')).join('\r\n') + '\r\n'
  );
}

import type { Range } from 'vscode-languageserver';

/** A cell of a line of a table: its text without quotes, and where it stands in the line, from 0. */
export interface CellPlace {
  readonly text: string;
  readonly start: number;
  readonly end: number;
}

/** The cells of one line (RFC 4180 quotes; a cell with a line break ends with its line). */
export function cellsOf(line: string, delimiter: string): readonly CellPlace[] {
  const cells: CellPlace[] = [];
  let start = 0;
  let quoted = false;
  for (let at = 0; at <= line.length; at++) {
    const character = line[at];
    if (character === '"') quoted = !quoted;
    if (at < line.length && (quoted || character !== delimiter)) continue;
    const raw = line.slice(start, at);
    cells.push({
      text: raw
        .replace(/^\s*"|"\s*$/g, '')
        .replaceAll('""', '"')
        .trim(),
      start,
      end: at,
    });
    start = at + 1;
  }
  return cells;
}

/** The delimiter that parts a header row into most cells. */
export function delimiterOf(header: string): string {
  return [',', ';', '\t'].reduce((best, one) => (header.split(one).length > header.split(best).length ? one : best));
}

/** Names of a header row without their units. */
export function columnNames(header: string): readonly string[] {
  return cellsOf(header, delimiterOf(header)).map(({ text }) => text.replace(/\s*\[.*$/, '').trim());
}

/** Where a column's cell stands in a row; undefined where header or row lack it. */
export function cellRange(header: string, row: string, line: number, column: string): Range | undefined {
  const index = columnNames(header).indexOf(column);
  const cell = index < 0 ? undefined : cellsOf(row, delimiterOf(header))[index];
  if (cell === undefined) return undefined;
  return { start: { line, character: cell.start }, end: { line, character: cell.end } };
}

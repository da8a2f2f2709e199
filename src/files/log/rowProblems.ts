import { positionAt, textOfLine } from '../csv/parseRecords';
import { startOfCell } from '../csv/csvBlock';
import type { FileProblem, SourcePosition } from '../problem';
import type { LogColumn } from '../testLog';
import type { CellFault, DecimalMark } from './cellNumber';
import type { LogLayout } from './logLayout';

const LONGEST_VALUE = 80;

/** One row in the log's bytes, for naming places in it. */
export interface RowPlace {
  readonly bytes: Uint8Array;
  /** Offset of the row's first byte. */
  readonly start: number;
  /** Line of that byte. */
  readonly line: number;
}

/** A cell that holds no usable number. */
export function cellProblem(
  layout: LogLayout,
  place: RowPlace,
  column: LogColumn,
  text: string,
  fault: CellFault,
  mark: DecimalMark | undefined,
): FileProblem {
  const words = cellTexts(column.name, mark ?? '.')[fault];
  return { rule: 'file-invalid', ...placeOfCell(layout, place, column, text), ...words };
}

function cellTexts(name: string, mark: DecimalMark): Record<CellFault, { message: string; remedy: string }> {
  const example = mark === '.' ? '-25.00' : '-25,00';
  const other = mark === '.' ? 'comma' : 'point';
  const own = mark === '.' ? 'point' : 'comma';
  const dropped = 'Export the log again without dropped samples, or delete the row: the gap is then found and told.';
  return {
    empty: { message: `The ${name} of this row is empty.`, remedy: dropped },
    'not-a-number': { message: `The ${name} of this row is not a number.`, remedy: dropped },
    infinite: { message: `The ${name} of this row is infinite.`, remedy: dropped },
    'too-large': { message: `The ${name} of this row is too large to be a reading.`, remedy: dropped },
    'other-mark': {
      message: `The ${name} of this row has a decimal ${other}, the numbers before it a decimal ${own}.`,
      remedy: 'Write all numbers of the log with one decimal mark, or state it with `decimal` in a mapping.',
    },
    text: {
      message: `The ${name} of this row is text where a number is due.`,
      remedy: `Write a plain number such as ${example}, without unit or thousands separators, or delete the row.`,
    },
  };
}

/** A row that has more or fewer cells than the header. */
export function raggedProblem(layout: LogLayout, place: RowPlace, cells: number): FileProblem {
  const commas = layout.delimiter === ',' && cells >= layout.cells + Math.min(3, layout.columns.length) - 1;
  return {
    rule: 'file-invalid',
    file: layout.file,
    position: { line: place.line, column: 1 },
    value: textOfLine(place.bytes, place.start),
    message: `This row has ${countOf(cells, 'cell')} where the header has ${layout.cells}.`,
    remedy: commas
      ? 'Decimal commas and commas between cells cannot be told apart: export with semicolons or with decimal points.'
      : 'Complete the row, or delete it.',
  };
}

/** A row whose time is not later than that of the row before. */
export function timeProblem(
  layout: LogLayout,
  place: RowPlace,
  column: LogColumn,
  text: string,
  step: number,
): FileProblem {
  const stands = step === 0;
  return {
    rule: 'time-not-increasing',
    ...placeOfCell(layout, place, column, text),
    message: stands
      ? 'Time stands still: this row has the time of the row before.'
      : `Time goes back by ${Number((-step).toPrecision(6))} s from the row before.`,
    remedy: stands
      ? 'Export time with more decimals, or delete the repeated row.'
      : 'Sort the rows by time, or keep each recording in a log of its own.',
  };
}

function placeOfCell(
  layout: LogLayout,
  place: RowPlace,
  column: LogColumn,
  text: string,
): { file: string; position: SourcePosition; column: string; value: string } {
  const start = startOfCell(place.bytes, place.start, column.index, layout.delimiter);
  const inRow = positionAt(place.bytes.subarray(place.start), start - place.start);
  const line = place.line + inRow.line - 1;
  const end = textOfLine(place.bytes, start).startsWith(text)
    ? { endLine: line, endColumn: inRow.column + text.length }
    : {};
  return {
    file: layout.file,
    position: { line, column: inRow.column, ...end },
    column: column.name,
    value: text.slice(0, LONGEST_VALUE),
  };
}

export function countOf(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

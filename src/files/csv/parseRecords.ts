import type { CsvDelimiter, QuotingFault } from './csvBlock';
import { parseCsvBlock, startOfCell } from './csvBlock';

/** A place in the text, counted from 1; `column` counts UTF-16 units, as editors do. */
export interface CsvPosition {
  readonly line: number;
  readonly column: number;
}

/** A fault of the table's quoting, in the words of a FileProblem without its rule and file. */
export interface CsvProblem {
  readonly position: CsvPosition;
  readonly value: string;
  readonly message: string;
  readonly remedy: string;
}

export interface CsvRecords {
  readonly records: readonly (readonly string[])[];
  /** Line in which each record starts. */
  readonly lines: readonly number[];
  /** At most one: behind a quoting fault nothing can be read for certain. The records before it are there. */
  readonly problems: readonly CsvProblem[];
  /** Where a cell starts; indices count from 0. */
  positionOf(record: number, cell: number): CsvPosition;
}

/**
 * Splits a small table's text into records. Blank lines and lines that begin with `#` are left out; records may
 * differ in length; a byte order mark is not part of the first cell. LF and CRLF both end a line.
 */
export function parseRecords(text: string, options: { readonly delimiter: CsvDelimiter }): CsvRecords {
  const bytes = new TextEncoder().encode(text.startsWith('\uFEFF') ? text.slice(1) : text);
  const { delimiter } = options;
  const block = parseCsvBlock(bytes, { delimiter, last: true });
  const lines: number[] = [];
  let line = 1;
  let counted = 0;
  for (const start of block.starts) {
    line += countLineFeeds(bytes, counted, start);
    counted = start;
    lines.push(line);
  }
  return {
    records: block.records,
    lines,
    problems: block.fault === undefined ? [] : [describeQuotingFault(bytes, block.fault)],
    positionOf: (record, cell) => {
      const start = block.starts[record] ?? 0;
      const offset = startOfCell(bytes, start, cell, delimiter);
      // Counted from the record's own line: a reader asks for every cell, and counting from the first line would take time that grows with the square of the file.
      return {
        line: (lines[record] ?? 1) + countLineFeeds(bytes, start, offset),
        column: columnAt(bytes, offset),
      };
    },
  };
}

/** A quoting fault in words, its position counted from the first of `bytes`. */
export function describeQuotingFault(bytes: Uint8Array, fault: QuotingFault): CsvProblem {
  return {
    position: positionAt(bytes, fault.offset),
    value: textOfLine(bytes, fault.offset),
    ...quotingTexts[fault.kind],
  };
}

const quotingTexts: Readonly<Record<QuotingFault['kind'], { readonly message: string; readonly remedy: string }>> = {
  'quote-not-closed': {
    message: 'A quotation mark opens a cell here and is never closed.',
    remedy: 'Close the quotation mark, or remove it.',
  },
  'text-after-quote': {
    message: 'Text follows the closing quotation mark of this cell.',
    remedy: 'Put the whole cell between quotation marks, and write a quotation mark inside it twice.',
  },
  'quote-inside-cell': {
    message: 'A quotation mark stands inside a cell that does not begin with one.',
    remedy: 'Remove the quotation mark, or put the whole cell between quotation marks and write those inside it twice.',
  },
};

/** Line and column of a byte, counted from the first of `bytes`. */
export function positionAt(bytes: Uint8Array, offset: number): CsvPosition {
  return { line: 1 + countLineFeeds(bytes, 0, offset), column: columnAt(bytes, offset) };
}

function columnAt(bytes: Uint8Array, offset: number): number {
  const lineStart = offset === 0 ? 0 : bytes.lastIndexOf(10, offset - 1) + 1;
  return 1 + new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes.subarray(lineStart, offset)).length;
}

/** The text from a byte to the end of its line, cut to 80 characters. */
export function textOfLine(bytes: Uint8Array, offset: number): string {
  const end = bytes.indexOf(10, offset);
  const cut = Math.min(end < 0 ? bytes.length : end, offset + 400);
  return new TextDecoder('utf-8', { ignoreBOM: true })
    .decode(bytes.subarray(offset, cut))
    .replace(/\r$/, '')
    .slice(0, 80);
}

export function countLineFeeds(bytes: Uint8Array, from: number, to: number): number {
  let count = 0;
  for (let at = bytes.indexOf(10, from); at >= 0 && at < to; at = bytes.indexOf(10, at + 1)) count++;
  return count;
}

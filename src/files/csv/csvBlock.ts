/* The only file that imports csv-parse. A browser build aliases 'csv-parse/sync' to 'csv-parse/browser/esm/sync'; nothing here needs Node.js. */
import { CsvError, parse } from 'csv-parse/sync';

export type CsvDelimiter = ',' | ';' | '\t';

/** Why a record cannot be split into cells. Everything after such a fault is guesswork, so reading stops there. */
export interface QuotingFault {
  readonly kind: 'quote-not-closed' | 'text-after-quote' | 'quote-inside-cell';
  /** Byte offset of the cell that has the fault. */
  readonly offset: number;
}

/** The complete records at the start of some bytes. */
export interface CsvBlock {
  readonly records: string[][];
  /** Byte offset of each record's first byte. */
  readonly starts: number[];
  /** Byte offset behind each record's line end. */
  readonly ends: number[];
  readonly fault?: QuotingFault;
  /** The last record goes on behind these bytes: a quoted cell is still open. */
  readonly incomplete: boolean;
}

const LF = 10;
const CR = 13;
const QUOTE = 34;
const HASH = 35;

/**
 * Splits bytes into records by RFC 4180, with blank lines and lines that begin with `#` left out.
 *
 * @param bytes UTF-8 that begins at a record's start and, unless `last`, ends behind a line feed
 * @param options `last`: the file ends with these bytes, so that an open quote is a fault and not `incomplete`
 */
export function parseCsvBlock(
  bytes: Uint8Array,
  options: { readonly delimiter: CsvDelimiter; readonly last: boolean },
): CsvBlock {
  const records: string[][] = [];
  const starts: number[] = [];
  const ends: number[] = [];
  let position = 0;
  try {
    parse(bytes, {
      delimiter: options.delimiter,
      record_delimiter: ['\r\n', '\n'],
      comment: '#',
      comment_no_infix: true,
      relax_column_count: true,
      skip_empty_lines: true,
      on_record: (record: string[], info: { readonly bytes: number }) => {
        records.push(record);
        starts.push(startOfRecord(bytes, position));
        ends.push(info.bytes);
        position = info.bytes;
        return null;
      },
    });
  } catch (error) {
    const kind = error instanceof CsvError ? faultKinds[error.code] : undefined;
    if (kind === undefined) throw error;
    if (kind === 'quote-not-closed' && !options.last) return { records, starts, ends, incomplete: true };
    const start = startOfRecord(bytes, position);
    const offset = startOfCell(bytes, start, Number((error as CsvError)['index']), options.delimiter);
    return { records, starts, ends, incomplete: false, fault: { kind, offset } };
  }
  return { records, starts, ends, incomplete: false };
}

const faultKinds: Readonly<Partial<Record<string, QuotingFault['kind']>>> = {
  CSV_QUOTE_NOT_CLOSED: 'quote-not-closed',
  CSV_INVALID_CLOSING_QUOTE: 'text-after-quote',
  INVALID_OPENING_QUOTE: 'quote-inside-cell',
};

/** Offset of the next record at or behind `offset`, past blank lines and comments. */
export function startOfRecord(bytes: Uint8Array, offset: number): number {
  let at = offset;
  while (at < bytes.length) {
    if (bytes[at] === LF) at += 1;
    else if (bytes[at] === CR && bytes[at + 1] === LF) at += 2;
    else if (bytes[at] === HASH) {
      const end = bytes.indexOf(LF, at);
      at = end < 0 ? bytes.length : end + 1;
    } else break;
  }
  return at;
}

/** Offset of a record's cell number `index` (from 0). The cells before it must be quoted properly. */
export function startOfCell(bytes: Uint8Array, recordStart: number, index: number, delimiter: CsvDelimiter): number {
  const separator = delimiter.charCodeAt(0);
  let at = recordStart;
  for (let cell = 0; cell < index; cell++) {
    if (bytes[at] === QUOTE) at = endOfQuotes(bytes, at);
    while (at < bytes.length && bytes[at] !== separator) at++;
    at++;
  }
  return Math.min(at, bytes.length);
}

/** Offset behind the closing quote of the quoted cell that opens at `open`. */
function endOfQuotes(bytes: Uint8Array, open: number): number {
  let at = open + 1;
  while (at < bytes.length) {
    if (bytes[at] !== QUOTE) at += 1;
    else if (bytes[at + 1] === QUOTE) at += 2;
    else return at + 1;
  }
  return at;
}

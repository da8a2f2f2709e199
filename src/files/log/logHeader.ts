import { type CsvDelimiter, parseCsvBlock, type QuotingFault, startOfCell } from '../csv/csvBlock';
import { countLineFeeds, positionAt } from '../csv/parseRecords';
import type { LogMapping } from '../reviewConfig';
import { countKnownHeaders, type HeaderCell } from './logColumns';

/** A header row taken apart. */
export interface LogHeader {
  readonly delimiter: CsvDelimiter;
  readonly cells: readonly HeaderCell[];
  /** Bytes behind the header's line end, and how many line ends it took. */
  readonly length: number;
  readonly lines: number;
}

const DELIMITERS: readonly CsvDelimiter[] = [',', ';', '\t'];
const LF = 10;
/** Lines that one header may take by line breaks inside quotes. */
const MOST_LINES = 20;

/**
 * Takes the header row apart. The delimiter is the mapping's; else the one that shows most of the headers that are
 * looked for, then the one that makes most cells, then the usual one for the file's ending.
 *
 * @param bytes from the header's first byte on
 * @param last the file ends with these bytes
 * @returns the header, 'more' where it is not complete, or the fault of its quoting
 */
export function readHeader(
  file: string,
  bytes: Uint8Array,
  line: number,
  last: boolean,
  mapping: LogMapping | undefined,
): LogHeader | 'more' | QuotingFault {
  const usual: CsvDelimiter = /\.tsv(?:\.gz)?$/i.test(file) ? '\t' : ',';
  const candidates =
    mapping?.delimiter === undefined
      ? [usual, ...DELIMITERS.filter((delimiter) => delimiter !== usual)]
      : [mapping.delimiter];
  const results = candidates.map((delimiter) => splitHeader(bytes, line, last, delimiter));
  if (results.includes('more')) return 'more';
  const headers = results.filter((result): result is LogHeader => typeof result === 'object' && 'cells' in result);
  const best = headers.reduce<LogHeader | undefined>(
    (best, header) => (best === undefined || isBetter(header, best, mapping) ? header : best),
    undefined,
  );
  return best ?? (results[0] as QuotingFault);
}

function isBetter(header: LogHeader, best: LogHeader, mapping: LogMapping | undefined): boolean {
  const known = ({ cells }: LogHeader): number =>
    countKnownHeaders(
      cells.map((cell) => cell.text),
      mapping,
    );
  const gain = known(header) - known(best);
  return gain > 0 || (gain === 0 && header.cells.length > best.cells.length);
}

function splitHeader(
  bytes: Uint8Array,
  line: number,
  last: boolean,
  delimiter: CsvDelimiter,
): LogHeader | 'more' | QuotingFault {
  let end = 0;
  for (let lines = 1; ; lines++) {
    const feed = bytes.indexOf(LF, end);
    if (feed < 0 && !last) return 'more';
    end = feed < 0 ? bytes.length : feed + 1;
    const atEnd = (last && end === bytes.length) || lines >= MOST_LINES;
    const block = parseCsvBlock(bytes.subarray(0, end), { delimiter, last: atEnd });
    if (block.fault !== undefined) return block.fault;
    const [record] = block.records;
    if (record === undefined) continue;
    const cells = record.map((text, index) => {
      const { line: lineInHeader, column } = positionAt(bytes, startOfCell(bytes, 0, index, delimiter));
      return { text, position: { line: line + lineInHeader - 1, column } };
    });
    return { delimiter, cells, length: end, lines: countLineFeeds(bytes, 0, end) };
  }
}

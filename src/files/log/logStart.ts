import { describeQuotingFault } from '../csv/parseRecords';
import { decodeText } from '../decodeText';
import { type PreambleEntry, readPreamble } from '../preamble';
import { FileFault, type FileProblem, type SourcePosition } from '../problem';
import type { LogMapping } from '../reviewConfig';
import type { LogColumn, TestLogHead } from '../testLog';
import { findColumns, type HeaderCell } from './logColumns';
import { refuseOtherContent } from './logContent';
import { readHeader } from './logHeader';
import type { LogLayout } from './logLayout';
import { type ReadHead, readHead } from './testLogHead';

const LF = 10;
const CR = 13;
const HASH = 35;
const MARK = [0xef, 0xbb, 0xbf];

/** What stands before the rows of a log. */
export interface LogStart {
  readonly layout: LogLayout;
  readonly head: TestLogHead;
  readonly warnings: readonly FileProblem[];
}

/**
 * Reads preamble and header row.
 *
 * @param bytes the file's first bytes
 * @param last the file ends with them
 * @returns 'more' where the header row is not among them
 * @throws FileFault with everything that keeps the log from being read
 */
export function readLogStart(
  file: string,
  bytes: Uint8Array,
  last: boolean,
  mapping: LogMapping | undefined,
): LogStart | 'more' {
  refuseOtherContent(file, bytes);
  const place = findHeader(bytes, mapping?.skipLines ?? 0);
  if (place.offset >= bytes.length) {
    if (!last) return 'more';
    throw new FileFault([noHeader(file, place.line, mapping)]);
  }
  const header = readHeader(file, bytes.subarray(place.offset), place.line, last, mapping);
  if (header === 'more') return 'more';
  if ('kind' in header) {
    const { position, ...words } = describeQuotingFault(bytes, { ...header, offset: place.offset + header.offset });
    throw new FileFault([{ rule: 'file-invalid', file, position, ...words }]);
  }
  const bodyOffset = place.offset + header.length;
  refuseBareReturns(file, bytes.subarray(place.offset, bodyOffset), place.line);
  refuseOtherEncoding(file, bytes.subarray(0, bodyOffset));
  const { entries, problems: preambleProblems } = preambleOf(file, bytes, place, mapping);
  const head = readHead(file, entries, mapping, { line: place.line, column: 1 });
  const { columns, problems } = findColumns(file, header.cells, mapping, head.signs);
  const faults = [...preambleProblems, ...head.faults, ...problems];
  if (faults.length > 0) throw new FileFault(faults);
  return {
    layout: {
      file,
      delimiter: header.delimiter,
      decimal: mapping?.decimal,
      cells: header.cells.length,
      columns: requiredFirst(columns),
      headerLine: place.line,
      bodyLine: place.line + header.lines,
      bodyOffset,
    },
    head: {
      ...head.head,
      file,
      columns,
      headerLine: place.line,
      positionOf: (key) => positionOf(key, head, columns, header.cells, place.line),
    },
    warnings: head.warnings,
  };
}

/** Where the header row begins: behind the skipped lines, the preamble and blank lines. */
interface HeaderPlace {
  readonly offset: number;
  readonly line: number;
  /** Offset of the first line that is not skipped. */
  readonly preambleOffset: number;
}

function findHeader(bytes: Uint8Array, skipLines: number): HeaderPlace {
  let offset = MARK.every((byte, at) => bytes[at] === byte) ? MARK.length : 0;
  let line = 1;
  const pass = (): void => {
    const feed = bytes.indexOf(LF, offset);
    offset = feed < 0 ? bytes.length : feed + 1;
    line++;
  };
  while (line <= skipLines && offset < bytes.length) pass();
  const preambleOffset = offset;
  while (offset < bytes.length && (bytes[offset] === HASH || isBlankLine(bytes, offset))) pass();
  return { offset, line, preambleOffset };
}

function isBlankLine(bytes: Uint8Array, offset: number): boolean {
  let at = offset;
  while (bytes[at] === 32 || bytes[at] === 9 || bytes[at] === CR) at++;
  return at === bytes.length || bytes[at] === LF;
}

function preambleOf(
  file: string,
  bytes: Uint8Array,
  place: HeaderPlace,
  mapping: LogMapping | undefined,
): { entries: ReadonlyMap<string, PreambleEntry>; problems: readonly FileProblem[] } {
  const lines = new TextDecoder().decode(bytes.subarray(place.preambleOffset, place.offset)).split('\n');
  const { entries, problems } = readPreamble(lines, file);
  const skipped = mapping?.skipLines ?? 0;
  const moved = (position: SourcePosition): SourcePosition => ({
    ...position,
    line: position.line + skipped,
    ...(position.endLine === undefined ? {} : { endLine: position.endLine + skipped }),
  });
  return {
    entries: new Map(
      [...entries].map(([key, { value, position, positionOf }]) => {
        const placed = { value, position: moved(position) };
        return [key, positionOf === undefined ? placed : { ...placed, positionOf: (path) => moved(positionOf(path)) }];
      }),
    ),
    // The comments of a foreign bench are not ours to judge.
    problems:
      mapping?.columns === undefined ? problems.map((each) => ({ ...each, position: moved(each.position) })) : [],
  };
}

function requiredFirst(columns: readonly LogColumn[]): LogColumn[] {
  const rank = (column: LogColumn): number => ['time', 'displacement', 'force', column.role].indexOf(column.role);
  return columns.toSorted((a, b) => rank(a) - rank(b));
}

function positionOf(
  key: string,
  head: ReadHead,
  columns: readonly LogColumn[],
  cells: readonly HeaderCell[],
  headerLine: number,
): SourcePosition {
  const entry = head.entries.get(key) ?? head.entries.get(key.split('.', 1)[0]!);
  if (entry !== undefined) return entry.position;
  const column = columns.find((each) => each.name === key);
  return column === undefined ? { line: headerLine, column: 1 } : cells[column.index]!.position;
}

function refuseBareReturns(file: string, header: Uint8Array, line: number): void {
  const at = header.findIndex((byte, index) => byte === CR && header[index + 1] !== LF);
  if (at < 0) return;
  const message = 'A line of the log ends with CR alone, which is no line end here.';
  const remedy = 'Save the log with LF or CRLF at the ends of its lines.';
  throw new FileFault([{ rule: 'file-invalid', file, position: { line, column: at + 1 }, message, remedy }]);
}

function refuseOtherEncoding(file: string, bytes: Uint8Array): void {
  const decoded = decodeText(file, bytes);
  if ('problem' in decoded) throw new FileFault([decoded.problem]);
}

function noHeader(file: string, line: number, mapping: LogMapping | undefined): FileProblem {
  const skipped = mapping !== undefined && mapping.skipLines > 0 && line <= mapping.skipLines + 1;
  return {
    rule: 'file-invalid',
    file,
    position: { line: Math.max(1, line - 1), column: 1 },
    message: skipped
      ? `The log ends within the ${mapping.skipLines} lines that ${mapping.keyPath} of ${mapping.file} skips.`
      : 'The log has no header row and no rows.',
    remedy: skipped ? 'Correct skipLines, or export the log again.' : 'Export the log again from the bench.',
  };
}

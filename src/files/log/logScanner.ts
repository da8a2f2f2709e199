import { type CsvBlock, parseCsvBlock, type QuotingFault, startOfRecord } from '../csv/csvBlock';
import { countLineFeeds, describeQuotingFault } from '../csv/parseRecords';
import { FileFault, type FileProblem } from '../problem';
import type { LogChunk } from '../testLog';
import { CellNumbers } from './cellNumber';
import { ColumnBuffer } from './columnBuffer';
import { LineIndex } from './lineIndex';
import type { LogLayout } from './logLayout';
import { NumericRows } from './numericRows';
import { cellProblem, raggedProblem, timeProblem } from './rowProblems';

const LF = 10;
const CR = 13;
const HASH = 35;
/** A record, quoted line breaks included, is at most this long; a quotation mark left open would else fill the memory. */
const LONGEST_RECORD = 1 << 20;
/** Bytes taken in at once. */
const PIECE = 1 << 17;
/** Bytes handed to csv-parse at once where one row after the other needs it. */
const LARGEST_CAREFUL_BLOCK = 1 << 16;
const MOST_PROBLEMS = 20;

/**
 * Turns a log's bytes, fed in pieces of any size, into chunks of typed columns. Rows of plain numbers take the byte path;
 * the others, and all faults, go record by record through csv-parse. After the first problem no more chunks come out:
 * the rest is read for further problems, at most 20.
 */
export class LogScanner {
  readonly lines = new LineIndex();
  readonly problems: FileProblem[] = [];
  private readonly rows: NumericRows;
  private readonly numbers: CellNumbers;
  private readonly buffer: ColumnBuffer;
  private readonly ready: LogChunk[] = [];
  /** Holds what is left of one piece until the next one comes. */
  private kept = new Uint8Array(1 << 12);
  /** Bytes not read yet: `kept`, or the piece itself where nothing was left. They begin at a record's start. */
  private work: Uint8Array = this.kept;
  private length = 0;
  /** Line of the first byte in `work`. */
  private line: number;
  /** A record that is not complete is looked at again only when there are this many bytes. */
  private waitFor = 0;
  private carefulBytes = 0;
  /** Indices of the needed columns from left to right, so that problems come in reading order. */
  private readonly leftToRight: readonly number[];

  /** @param chunkRows most rows in a chunk */
  constructor(
    private readonly layout: LogLayout,
    chunkRows: number,
  ) {
    const time = layout.columns[0]!;
    const targets = Array.from({ length: layout.cells }, (_, cell) =>
      layout.columns.findIndex((column) => column.index === cell),
    );
    const delimiter = layout.delimiter.charCodeAt(0);
    this.rows = new NumericRows({ delimiter, targets, timeFactor: time.factor, timeOffset: time.offset });
    this.numbers = new CellNumbers(layout.decimal);
    this.rows.setMark(layout.decimal);
    this.buffer = new ColumnBuffer(layout.columns, chunkRows);
    this.line = layout.bodyLine;
    this.leftToRight = layout.columns.map((_, index) => index);
    this.leftToRight = this.leftToRight.toSorted((a, b) => layout.columns[a]!.index - layout.columns[b]!.index);
  }

  /** Line that reading has come to. */
  get currentLine(): number {
    return this.line;
  }

  /**
   * Takes in the next bytes behind the header.
   * @throws FileFault at the 20th problem, or where the records cannot be told apart any more
   */
  push(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; at += PIECE) this.takeIn(bytes.subarray(at, at + PIECE));
  }

  /**
   * Says that the file is at its end.
   * @throws FileFault with every problem, if there is any
   */
  finish(): void {
    this.read(this.length, true);
    if (this.problems.length === 0 && this.buffer.total + this.buffer.rows === 0) this.report(this.noRowsProblem());
    if (this.problems.length > 0) throw new FileFault(this.problems);
    this.emit(true);
  }

  /** The chunks that are complete by now. */
  takeChunks(): LogChunk[] {
    return this.ready.splice(0);
  }

  /** Completes the row begun by the piece before, then reads the rest where it stands: copying all of it costs a tenth of the reading. */
  private takeIn(piece: Uint8Array): void {
    const firstLine = this.length === 0 || this.waitFor > 0 ? 0 : piece.indexOf(LF) + 1;
    if (firstLine > 0) {
      this.append(piece.subarray(0, firstLine));
      this.read(this.length, false);
    }
    const rest = piece.subarray(firstLine);
    if (this.length === 0) {
      this.work = rest;
      this.length = rest.length;
    } else this.append(rest);
    if (this.length >= this.waitFor) this.read(this.work.lastIndexOf(LF, this.length - 1) + 1, false);
  }

  private append(piece: Uint8Array): void {
    this.reserve(this.length + piece.length);
    this.kept.set(piece, this.length);
    this.length += piece.length;
  }

  /** Room for so many bytes in `kept`; what `work` holds stays. */
  private reserve(length: number): void {
    if (length <= this.kept.length) return;
    const larger = new Uint8Array(2 * length);
    larger.set(this.kept.subarray(0, this.length));
    if (this.work === this.kept) this.work = larger;
    this.kept = larger;
  }

  /** Reads the records up to `limit`, which is behind a line feed or the end of the file, and keeps the rest. */
  private read(limit: number, last: boolean): void {
    this.waitFor = 0;
    const plainLimit = this.work.lastIndexOf(LF, limit - 1) + 1;
    let at = this.skipToRecord(0, limit);
    while (at < limit) {
      let behind = this.readPlainRows(at, plainLimit);
      if (behind === at) behind = this.readCarefully(at, limit, last);
      if (behind === at) break;
      at = this.skipToRecord(behind, limit);
    }
    this.keepFrom(at);
  }

  private skipToRecord(from: number, limit: number): number {
    const first = this.work[from]!;
    if (from >= limit || (first !== LF && first !== CR && first !== HASH)) return from;
    const start = startOfRecord(this.work.subarray(0, limit), from);
    this.line += countLineFeeds(this.work, from, start);
    return start;
  }

  private readPlainRows(from: number, to: number): number {
    const { buffer, rows } = this;
    let at = from;
    while (at < to) {
      const filled = buffer.rows;
      buffer.rows = rows.scan(this.work, at, to, buffer.columns, filled, buffer.capacity);
      at = rows.position;
      this.lines.add(this.line, buffer.rows - filled);
      this.line += buffer.rows - filled;
      if (buffer.rows > filled) this.carefulBytes = 0;
      if (buffer.rows === buffer.capacity) this.emit();
      if (rows.odd) break;
    }
    return at;
  }

  /** Hands some bytes to csv-parse, one line at first, more while plain rows do not come back. Returns where it got to. */
  private readCarefully(from: number, limit: number, last: boolean): number {
    for (;;) {
      const lineEnd = this.work.indexOf(LF, Math.min(from + this.carefulBytes, limit - 1)) + 1;
      const end = lineEnd === 0 || lineEnd > limit ? limit : lineEnd;
      this.carefulBytes = Math.min(2 * Math.max(end - from, this.carefulBytes), LARGEST_CAREFUL_BLOCK);
      const bytes = this.work.subarray(from, end);
      const block = parseCsvBlock(bytes, { delimiter: this.layout.delimiter, last: last && end === limit });
      const line = this.line;
      const behind = from + this.readRecords(bytes, block);
      if (block.fault !== undefined) this.stopAtQuotingFault(bytes, block.fault, line);
      if (!block.incomplete) return end;
      if (behind > from) return behind;
      if (end === limit) {
        this.waitFor = 2 * (this.length - from);
        return from;
      }
      this.carefulBytes = Math.max(this.carefulBytes, 2 * (end - from));
    }
  }

  private readRecords(bytes: Uint8Array, block: CsvBlock): number {
    let at = 0;
    block.records.forEach((record, index) => {
      const start = block.starts[index]!;
      this.line += countLineFeeds(bytes, at, start);
      at = start;
      this.readRecord(record, bytes, start);
    });
    const end = block.incomplete ? (block.ends.at(-1) ?? 0) : bytes.length;
    if (block.fault === undefined) this.line += countLineFeeds(bytes, at, end);
    return end;
  }

  private readRecord(record: readonly string[], bytes: Uint8Array, start: number): void {
    const { layout, buffer, numbers } = this;
    const place = { bytes, start, line: this.line };
    if (record.length !== layout.cells) {
      this.report(raggedProblem(layout, place, record.length));
      return;
    }
    const before = this.problems.length;
    let time = NaN;
    for (const target of this.leftToRight) {
      const column = layout.columns[target]!;
      const text = record[column.index]!;
      let value = numbers.read(text);
      if (!Number.isNaN(value) && !Number.isFinite(value * column.factor + column.offset)) {
        value = NaN;
        numbers.fault = 'too-large';
      }
      if (Number.isNaN(value)) this.report(cellProblem(layout, place, column, text, numbers.fault, numbers.mark));
      else if (target === 0) time = value * column.factor + column.offset;
      buffer.columns[target * buffer.capacity + buffer.rows] = value + 0; // never -0
    }
    this.rows.setMark(numbers.mark);
    if (!Number.isNaN(time)) {
      if (!(time > this.rows.lastTime)) {
        const column = layout.columns[0]!;
        this.report(timeProblem(layout, place, column, record[column.index]!, time - this.rows.lastTime));
      }
      this.rows.lastTime = time;
    }
    if (this.problems.length > before) return;
    this.lines.add(this.line, 1);
    buffer.rows++;
    if (buffer.rows === buffer.capacity) this.emit();
  }

  private emit(isLast = false): void {
    if (this.problems.length > 0) this.buffer.rows = 0;
    else if (this.buffer.rows > 0) this.ready.push(this.buffer.takeChunk(isLast));
  }

  private keepFrom(at: number): void {
    const rest = this.work.subarray(at, this.length);
    if (this.work === this.kept) this.kept.copyWithin(0, at, this.length);
    else {
      this.length = 0;
      this.reserve(rest.length);
      this.kept.set(rest);
    }
    this.work = this.kept;
    this.length = rest.length;
    if (this.length < LONGEST_RECORD) return;
    this.report({
      rule: 'file-invalid',
      file: this.layout.file,
      position: { line: this.line, column: 1 },
      message: `A row longer than ${LONGEST_RECORD} bytes begins here.`,
      remedy: 'Close the quotation mark that is left open, or check that the lines of the log end with LF or CRLF.',
    });
    throw new FileFault(this.problems);
  }

  private stopAtQuotingFault(bytes: Uint8Array, fault: QuotingFault, line: number): never {
    const { position, ...words } = describeQuotingFault(bytes, fault);
    const { file } = this.layout;
    const place = { line: line + position.line - 1, column: position.column };
    this.report({ rule: 'file-invalid', file, position: place, ...words });
    throw new FileFault(this.problems);
  }

  private report(problem: FileProblem): void {
    this.problems.push(problem);
    if (this.problems.length >= MOST_PROBLEMS) throw new FileFault(this.problems);
  }

  private noRowsProblem(): FileProblem {
    return {
      rule: 'file-invalid',
      file: this.layout.file,
      position: { line: this.layout.headerLine, column: 1 },
      message: 'The log has a header and no rows.',
      remedy: 'Export the log again from the bench; this one holds no samples.',
    };
  }
}

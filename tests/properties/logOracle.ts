import { parse } from 'csv-parse/sync';
import type { LogCase } from './logCases';

/** What a log holds, said the plain way: columns in SI and the line of each row, or the problems. */
export interface LogContent {
  readonly columns: ReadonlyMap<string, readonly number[]>;
  readonly lines: readonly number[];
  /** `rule line:column value`, in reading order, at most 20; of a quoting fault and a ragged row without value. */
  readonly problems: readonly string[];
}

const MOST_PROBLEMS = 20;

/**
 * Reads a log's body with csv-parse, whole and with its own byte positions, and Number(). Slow, simple, and written
 * apart from the reader: nothing is shared with it but csv-parse itself.
 */
export function readByOracle(log: LogCase): LogContent {
  const body = log.bytes.subarray(log.bodyOffset);
  const { records, fault } = splitRecords(body, log.delimiter);
  const places = new Places(body, log.headerLine + 1);
  const columns = new Map(log.columns.map((column) => [column.name, [] as number[]]));
  const lines: number[] = [];
  const problems: string[] = [];
  let mark: '.' | ',' | undefined;
  let lastTime = -Infinity;
  for (const { cells, starts } of records) {
    if (cells.length !== log.cells) {
      problems.push(`file-invalid ${places.lineOf(starts[0]!)}:1`);
      continue;
    }
    const values = new Map<string, number>();
    const found: string[] = [];
    let timeProblem: string | undefined;
    for (const column of log.columns) {
      const text = cells[column.index]!;
      const place = `${places.of(starts[column.index]!)} ${text.slice(0, 80)}`;
      mark ??= markOf(text);
      const value = valueOf(text, mark ?? '.') * column.factor + column.offset;
      if (!Number.isFinite(value)) found.push(`file-invalid ${place}`);
      else if (column.role === 'time') {
        if (value <= lastTime) timeProblem = `time-not-increasing ${place}`;
        lastTime = value;
      }
      values.set(column.name, value);
    }
    if (timeProblem !== undefined) found.push(timeProblem);
    problems.push(...found);
    if (found.length > 0) continue;
    lines.push(places.lineOf(starts[0]!));
    for (const [name, value] of values) columns.get(name)!.push(value);
  }
  if (fault !== undefined) problems.push(`file-invalid ${places.of(fault)}`);
  else if (problems.length === 0 && lines.length === 0) problems.push(`file-invalid ${log.headerLine}:1`);
  return { columns, lines, problems: problems.slice(0, MOST_PROBLEMS) };
}

interface OracleRecord {
  readonly cells: string[];
  /** Byte offset of each cell. */
  readonly starts: number[];
}

function splitRecords(body: Uint8Array, delimiter: string): { records: OracleRecord[]; fault?: number } {
  const records: OracleRecord[] = [];
  let ends: number[] = [];
  let recordEnd = 0;
  const latin = Buffer.from(body).toString('latin1');
  const startsOf = (): number[] => [pastOtherLines(latin, recordEnd), ...ends.map((end) => end + 1)];
  try {
    parse(Buffer.from(body), {
      delimiter,
      record_delimiter: ['\r\n', '\n'],
      comment: '#',
      comment_no_infix: true,
      relax_column_count: true,
      skip_empty_lines: true,
      cast: (text, context) => {
        ends.push((context as unknown as { bytes: number }).bytes);
        return text;
      },
      on_record: (cells: string[], context) => {
        records.push({ cells, starts: startsOf().slice(0, -1) });
        ends = [];
        recordEnd = (context as unknown as { bytes: number }).bytes;
        return null;
      },
    });
  } catch {
    return { records, fault: startsOf().at(-1)! };
  }
  return { records };
}

/** Offset behind the blank lines and comments that begin at `from`; `latin` has one character a byte. */
function pastOtherLines(latin: string, from: number): number {
  const otherLines = /(?:#[^\n]*(?:\n|$)|\r?\n)*/y;
  otherLines.lastIndex = from;
  return from + otherLines.exec(latin)![0].length;
}

function markOf(text: string): '.' | ',' | undefined {
  const point = Number.isFinite(valueOf(text, '.'));
  const comma = Number.isFinite(valueOf(text, ','));
  return point === comma ? undefined : point ? '.' : ',';
}

function valueOf(text: string, mark: '.' | ','): number {
  const trimmed = text.trim();
  if (trimmed === '' || /[^-+0-9.,eE]/.test(trimmed)) return NaN;
  if (mark === '.') return Number(trimmed);
  return trimmed.includes('.') ? NaN : Number(trimmed.replace(',', '.'));
}

class Places {
  /** Offset of each line's first byte. */
  private readonly lineStarts: number[];

  constructor(
    private readonly body: Uint8Array,
    private readonly firstLine: number,
  ) {
    this.lineStarts = [0, ...[...body.keys()].filter((at) => body[at] === 10).map((at) => at + 1)];
  }

  lineOf(offset: number): number {
    return this.firstLine + this.lineStarts.findLastIndex((start) => start <= offset);
  }

  of(offset: number): string {
    const line = this.lineOf(offset);
    const before = this.body.subarray(this.lineStarts[line - this.firstLine], offset);
    return `${line}:${Buffer.from(before).toString('utf8').length + 1}`;
  }
}

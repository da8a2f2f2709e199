import type { ReducedLog } from '../analysis/reducedLog';
import { reduceLog } from '../analysis/reduceLog';
import { kindDiffers, looksLike } from '../files/contentKind';
import { LOOKED_AT } from '../files/log/logContent';
import { readLogStart } from '../files/log/logStart';
import { openTestLog, type OpenTestLog } from '../files/log/openTestLog';
import { FileFault, type FileProblem, type SourcePosition } from '../files/problem';
import type { LogMapping } from '../files/reviewConfig';
import { testLogKeys } from '../files/schema/testLogPreamble';
import type { TestLogHead } from '../files/testLog';
import { AbortedError, type AbortSignalLike } from '../ports/abort';
import { FilePortError, type RepositoryFiles } from '../ports/repositoryFiles';
import { GunzipError, type Gunzip } from '../ports/services';
import { expandedLog } from './expandedLog';
import { isPassing } from './portProblems';

/** A log to be read: plain data, so that it can be sent to a worker. */
export interface LogRequest {
  readonly file: string;
  readonly mapping?: LogMapping;
}

/** What reading a log needs from the outside. */
export interface LogPorts {
  readonly files: Pick<RepositoryFiles, 'open'>;
  readonly gunzip: Gunzip;
}

/** A head without its function: positions by key, where they are not the header's. */
export interface PlainHead extends Omit<TestLogHead, 'positionOf'> {
  readonly positions: Readonly<Record<string, SourcePosition>>;
}

/** Everything that is kept of a log; plain data, small against the log. */
export interface LogRecord {
  readonly head: PlainHead;
  readonly warnings: readonly FileProblem[];
  readonly reduced: ReducedLog;
  /** Rows that steps and events name, rising, and the line of each. */
  readonly rows: Float64Array;
  readonly lines: Float64Array;
}

/** Why a log gives nothing. `passing`: the disk failed, not the log; another try may succeed. */
export interface LogFault {
  readonly kind: 'fault';
  readonly problems: readonly FileProblem[];
  readonly passing: boolean;
}
export type LogReport = LogFault | { readonly kind: 'read'; readonly record: LogRecord };
/** Its problems do not keep the log from being read. */
export type HeadReport =
  LogFault | { readonly kind: 'read'; readonly head: PlainHead; readonly problems: readonly FileProblem[] };

/**
 * Reads and reduces one log: the job of the worker thread, and of the session itself where there is none.
 * @throws AbortedError; whatever is wrong with the log comes back as a fault
 */
export async function reduceLogJob(ports: LogPorts, request: LogRequest, signal?: AbortSignalLike): Promise<LogReport> {
  return guarded(ports, request, signal, async (log) => {
    const head = plainHead(log.head);
    const adjusters = head.columns.filter((column) => column.role === 'adjuster').length;
    const reduced = await reduceLog(() => log.chunks(), { adjusters, signal });
    const rows = Float64Array.from(namedRows(reduced));
    const lines = rows.map((row) => log.lineOfRow(row));
    return { kind: 'read', record: { head, warnings: log.warnings, reduced, rows, lines } };
  });
}

/** Reads what a log says of itself, and none of its rows; and whether it is a log at all. @throws AbortedError */
export async function readHeadJob(ports: LogPorts, request: LogRequest, signal?: AbortSignalLike): Promise<HeadReport> {
  let first: Uint8Array | undefined;
  const report = await guarded<HeadReport>(
    ports,
    request,
    signal,
    (log) => Promise.resolve({ kind: 'read', head: plainHead(log.head), problems: log.warnings }),
    (chunk) => {
      first ??= chunk;
    },
  );
  // A mapped log has columns of its own, which may look like anything.
  const differs =
    first === undefined || request.mapping !== undefined ? undefined : kindDiffers(request.file, 'testLog', first);
  return differs === undefined ? report : { ...report, problems: [differs, ...report.problems] };
}

/** As `readHeadJob`, from the first bytes of a log that no mapping is for, expanded; undefined where they do not tell all of it. */
export function headOfStart(file: string, start: Uint8Array): HeadReport | undefined {
  if (start.length < LOOKED_AT || looksLike(start) !== 'testLog') return undefined;
  try {
    const read = readLogStart(file, start, false, undefined);
    return read === 'more' ? undefined : { kind: 'read', head: plainHead(read.head), problems: read.warnings };
  } catch (error) {
    if (error instanceof FileFault) return undefined; // told with the whole log at hand
    throw error;
  }
}

/** The line of a row: exact for the rows that steps and events name, and for others as long as rows follow line by line. */
export function lineOfRow(record: LogRecord, row: number): number {
  const { rows, lines, head } = record;
  let at = -1;
  for (let i = 0; i < rows.length && rows[i]! <= row; i++) at = i;
  return at < 0 ? head.headerLine + 1 + row : lines[at]! + row - rows[at]!;
}

/** The head with its function again. */
export function wholeHead(plain: PlainHead): TestLogHead {
  const { positions, ...head } = plain;
  const header = { line: head.headerLine, column: 1 };
  return { ...head, positionOf: (key) => (Object.hasOwn(positions, key) ? positions[key]! : header) };
}

async function guarded<Report>(
  ports: LogPorts,
  request: LogRequest,
  signal: AbortSignalLike | undefined,
  work: (log: OpenTestLog) => Promise<Report>,
  onBytes: (chunk: Uint8Array) => void = () => undefined,
): Promise<Report | LogFault> {
  let passing = false;
  const { file, mapping } = request;
  const open = (): AsyncIterable<Uint8Array> =>
    expandedLog(ports, file, signal, onBytes, (error) => {
      passing = error instanceof FilePortError ? isPassing(error) : !(error instanceof GunzipError);
    });
  try {
    return await work(await openTestLog({ file, open, mapping, signal }));
  } catch (error) {
    if (error instanceof FileFault) return { kind: 'fault', problems: error.problems, passing };
    if (error instanceof Error && error.name === 'AbortedError') throw new AbortedError();
    throw error;
  }
}

function plainHead(head: TestLogHead): PlainHead {
  const rest = Object.fromEntries(Object.entries(head).filter(([key]) => key !== 'positionOf')) as Omit<
    TestLogHead,
    'positionOf'
  >;
  const positions: [string, SourcePosition][] = [];
  for (const key of [...testLogKeys(), ...head.columns.map((column) => column.name)]) {
    const position = head.positionOf(key);
    if (position.line !== head.headerLine || position.column !== 1) positions.push([key, position]);
  }
  return { ...rest, positions: Object.fromEntries(positions) };
}

function namedRows(reduced: ReducedLog): number[] {
  const rows = new Set<number>(reduced.events.map((event) => event.row));
  for (const step of reduced.steps) rows.add(step.firstRow).add(step.lastRow);
  return [...rows].sort((a, b) => a - b);
}

import { openTestLog, type OpenTestLog, type OpenTestLogOptions } from '../../../src/files/log/openTestLog';
import { FileFault, type FileProblem } from '../../../src/files/problem';
import type { LogMapping } from '../../../src/files/reviewConfig';

export type ReadOptions = Partial<Omit<OpenTestLogOptions, 'open'>>;

/** A log's columns, whole, with its head. */
export interface WholeLog {
  readonly log: OpenTestLog;
  readonly columns: Readonly<Record<string, readonly number[]>>;
  readonly adjusters: readonly (readonly number[])[];
}

/** Opens a log from text or bytes, in one piece. */
export function open(content: string | Uint8Array, options: ReadOptions = {}): Promise<OpenTestLog> {
  const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
  return openTestLog({ file: 'a.testlog.csv', ...options, open: () => piecesOf(bytes, bytes.length) });
}

export async function* piecesOf(bytes: Uint8Array, length: number): AsyncGenerator<Uint8Array> {
  await Promise.resolve();
  for (let at = 0; at < bytes.length; at += length) yield bytes.subarray(at, at + length);
}

export async function readWhole(content: string | Uint8Array, options: ReadOptions = {}): Promise<WholeLog> {
  const log = await open(content, options);
  const columns: Record<string, number[]> = {};
  const adjusters: number[][] = [];
  for await (const chunk of log.chunks()) {
    for (const name of ['time', 'displacement', 'velocity', 'force', 'temperature'] as const)
      if (chunk[name] !== undefined) (columns[name] ??= []).push(...chunk[name]);
    chunk.adjusters.forEach((values, index) => (adjusters[index] ??= []).push(...values));
  }
  return { log, columns, adjusters };
}

/** The problems that reading a log throws; fails where it throws none. */
export async function problemsOf(
  content: string | Uint8Array,
  options: ReadOptions = {},
): Promise<readonly FileProblem[]> {
  try {
    await readWhole(content, options);
  } catch (error) {
    if (error instanceof FileFault) return error.problems;
    throw error;
  }
  throw new Error('The log was read without a problem.');
}

export function mapping(changes: Partial<LogMapping> = {}): LogMapping {
  return { file: 'damper-review.yaml', keyPath: 'logs[0]', files: '**/*.csv', skipLines: 0, preamble: {}, ...changes };
}

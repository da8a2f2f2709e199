import { foreignContentProblem, isLargeFilePointer } from '../files/contentLook';
import { AbortedError, type AbortSignalLike } from '../ports/abort';
import { firstBytes } from '../ports/byteStream';
import type { Gunzip } from '../ports/services';
import { LogStarts } from './logStarts';
import { headOfStart, readHeadJob, type HeadReport, type LogFault, type LogRequest } from './reduceLogJob';
import type { WorkFiles } from './workFiles';

/** Preamble and header of a log stand in so many bytes, packed or not, but for a long one. */
const START_BYTES = 4096;
/** Nothing of this size is a log with steps, but a pointer or a stump: sending it away or looking for it in the store takes longer than reading it here. */
const SMALL_BYTES = 1024;

/** Heads of logs told by their first bytes, as far as these tell all of it: to open and expand each of thousands takes five times as long. */
export class LogHeads {
  readonly #work: WorkFiles;
  readonly #gunzip: Gunzip;
  readonly #starts: LogStarts;

  constructor(work: WorkFiles, gunzip: Gunzip) {
    this.#work = work;
    this.#gunzip = gunzip;
    this.#starts = new LogStarts(gunzip);
  }

  isSmall(path: string): boolean {
    const size = this.#work.sizeOf(path); // 0 also where it is shown from elsewhere, of any size
    return size > 0 && size < SMALL_BYTES;
  }

  /** Without waiting. */
  atHand({ file, mapping }: LogRequest): HeadReport | undefined {
    // Of a pointer nothing else is looked at, whatever a mapping says of its columns.
    const pointer = this.isSmall(file) ? pointerFault(file, this.#work.readNow(file)) : undefined;
    if (pointer !== undefined || mapping !== undefined) return pointer;
    const start = this.#starts.expanded(file, this.#work.startNow(file, START_BYTES));
    return start && headOfStart(file, start);
  }

  /** Of a log whose bytes have to be waited for, such as one of a commit. @throws AbortedError */
  async ofFirstBytes(
    { file, mapping }: LogRequest,
    signal: AbortSignalLike | undefined,
  ): Promise<HeadReport | undefined> {
    if (mapping !== undefined) return undefined;
    const chunks = this.#work.open(file, signal)[Symbol.asyncIterator]();
    let first: Uint8Array;
    try {
      first = await firstBytes(chunks, START_BYTES);
    } catch (error) {
      if (error instanceof AbortedError) throw error;
      // Told in the words of whoever reads whole logs.
      return await readHeadJob({ files: { open: () => failing(error) }, gunzip: this.#gunzip }, { file });
    } finally {
      await chunks.return?.();
    }
    const pointer = first.length < SMALL_BYTES ? pointerFault(file, first) : undefined;
    if (pointer !== undefined) return pointer;
    await this.#starts.load();
    const start = this.#starts.expanded(file, first.subarray(0, START_BYTES));
    return start && headOfStart(file, start);
  }
}

function failing(error: unknown): AsyncIterable<never> {
  const fault = error instanceof Error ? error : new Error(String(error));
  return { [Symbol.asyncIterator]: () => ({ next: () => Promise.reject(fault) }) };
}

function pointerFault(file: string, bytes: Uint8Array | undefined): LogFault | undefined {
  if (bytes === undefined || !isLargeFilePointer(bytes)) return undefined;
  const problem = foreignContentProblem(file, bytes, 'large-file-pointer');
  return problem && { kind: 'fault', problems: [problem], passing: false };
}

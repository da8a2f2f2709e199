import { LentFiles, type OpenedFiles } from '../platform/node/lentFiles';
import { nodeDigest } from '../platform/node/nodeDigest';
import type { WorkerOffload } from '../platform/node/workerOffload';
import type { AbortSignalLike } from '../ports/abort';
import type { Offload } from '../ports/services';
import { digestOfSource } from '../session/lineEndings';
import type { LogReport, LogRequest } from '../session/reduceLogJob';
import type { LogAnswer, LogJob, LogTask } from './logWorker';

/** Which files the worker threads are to read. */
export interface LogSource {
  /** Folder on the disk, which a thread reads itself. */
  readonly root: string;
  /** What this thread reads. */
  readonly files: OpenedFiles;
  /** Whether a file is another than the disk's, such as one of a revision: its bytes are handed over. */
  isElsewhere(path: string): boolean;
}

/** A log of at most so many bytes is digested sooner than it is handed over, and need not wait until a thread is free. */
const MOST_DIGESTED_HERE = 2 * 1024 * 1024;

/** Reads logs in the worker threads, wherever they are from, so that nobody who types waits for one. */
export function workerLogs(
  offload: WorkerOffload<LogJob, LogAnswer>,
  source: LogSource,
): { readonly logs: Offload<LogRequest, LogReport>; readonly digests: Offload<string, string> } {
  const run = async (path: string, task: LogTask, signal: AbortSignalLike | undefined): Promise<LogAnswer> => {
    if (!source.isElsewhere(path)) return offload.run({ root: source.root, ...task }, signal);
    const lent = new LentFiles(source.files);
    try {
      return await offload.run({ lent: lent.port, ...task }, signal, [lent.port]);
    } finally {
      lent.close();
    }
  };
  return {
    logs: { run: async (request, signal) => reportOf(await run(request.file, { request }, signal)) },
    digests: {
      run: async (path, signal) =>
        (source.isElsewhere(path) ? await digestOfSmall(source.files, path, signal) : undefined) ??
        hexOf(await run(path, { digest: path }, signal)),
    },
  };
}

/** Revisions do not tell how large their files are. @returns undefined where it is too large to be digested here */
async function digestOfSmall(
  files: OpenedFiles,
  path: string,
  signal: AbortSignalLike | undefined,
): Promise<string | undefined> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of files.open(path, signal)) {
    chunks.push(chunk);
    length += chunk.length;
    if (length > MOST_DIGESTED_HERE) return undefined;
  }
  return digestOfSource(nodeDigest, path, handedOut(chunks));
}

async function* handedOut(chunks: readonly Uint8Array[]): AsyncIterable<Uint8Array> {
  for (const chunk of chunks) yield await Promise.resolve(chunk);
}

function reportOf(answer: LogAnswer): LogReport {
  if (typeof answer === 'string') throw new Error('The log worker answered a reduction with a digest.');
  return answer;
}

function hexOf(answer: LogAnswer): string {
  if (typeof answer !== 'string') throw new Error('The log worker answered a digest with a reduction.');
  return answer;
}

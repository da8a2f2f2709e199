import { constants, setPriority } from 'node:os';
import type { MessagePort } from 'node:worker_threads';
import { BorrowedFiles, type OpenedFiles } from '../platform/node/lentFiles';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { serveWorker } from '../platform/node/logWorker';
import type { AbortSignalLike } from '../ports/abort';
import { digestOfSource } from '../session/lineEndings';
import { reduceLogJob, type LogReport, type LogRequest } from '../session/reduceLogJob';

/** A log to reduce, or one to digest. */
export type LogTask = { readonly request: LogRequest } | { readonly digest: string };

/** What the server sends to its worker threads: the task, and the folder of the disk that the log lies in, or where else its bytes are given out. */
export type LogJob = LogTask & ({ readonly root: string } | { readonly lent: MessagePort });

/** What comes back: the report of a reduction, the digest in lower-case hex. */
export type LogAnswer = LogReport | string;

/** The worker thread of the server: reads one log of a repository at a time and sends back what is kept of it. */
const repositories = new Map<string, NodeRepositoryFiles>();

// The editor comes first on a busy machine. On Linux this is the thread's own priority, elsewhere that of the whole server.
const { PRIORITY_LOW, PRIORITY_BELOW_NORMAL } = constants.priority;
try {
  setPriority(process.platform === 'linux' ? PRIORITY_LOW : PRIORITY_BELOW_NORMAL);
} catch {
  // a host that does not let us be modest
}

serveWorker((job, signal) => work(job as LogJob, signal));

async function work(job: LogJob, signal: AbortSignalLike): Promise<LogAnswer> {
  if ('root' in job) return answerTo(job, filesOf(job.root), signal);
  const borrowed = new BorrowedFiles(job.lent);
  try {
    return await answerTo(job, borrowed, signal);
  } finally {
    borrowed.close();
  }
}

function answerTo(job: LogTask, files: OpenedFiles, signal: AbortSignalLike): Promise<LogAnswer> {
  if ('digest' in job) return digestOfSource(nodeDigest, job.digest, files.open(job.digest, signal));
  return reduceLogJob({ files, gunzip: nodeGunzip() }, job.request, signal);
}

function filesOf(root: string): NodeRepositoryFiles {
  let files = repositories.get(root);
  if (files === undefined) repositories.set(root, (files = new NodeRepositoryFiles(root)));
  return files;
}

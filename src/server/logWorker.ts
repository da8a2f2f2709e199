import { constants, setPriority } from 'node:os';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { serveWorker } from '../platform/node/logWorker';
import type { AbortSignalLike } from '../ports/abort';
import { digestOfSource } from '../session/lineEndings';
import { reduceLogJob, type LogReport, type LogRequest } from '../session/reduceLogJob';

/** What the server sends to its worker threads: a log to reduce, or one to digest. */
export type LogJob =
  { readonly root: string; readonly request: LogRequest } | { readonly root: string; readonly digest: string };

/** What comes back: the report of a reduction, the digest in lower-case hex. */
export type LogAnswer = LogReport | string;

/** The worker thread of the server: reads one log of a repository at a time and sends back what is kept of it. */
const repositories = new Map<string, NodeRepositoryFiles>();

try {
  setPriority(constants.priority.PRIORITY_BELOW_NORMAL); // this thread on Linux, the server elsewhere: the editor comes first on a busy machine
} catch {
  // a host that does not let us be modest
}

serveWorker((job, signal) => work(job as LogJob, signal));

async function work(job: LogJob, signal: AbortSignalLike): Promise<LogAnswer> {
  const files = filesOf(job.root);
  if ('digest' in job) return digestOfSource(nodeDigest, job.digest, files.open(job.digest, signal));
  return reduceLogJob({ files, gunzip: nodeGunzip() }, job.request, signal);
}

function filesOf(root: string): NodeRepositoryFiles {
  let files = repositories.get(root);
  if (files === undefined) repositories.set(root, (files = new NodeRepositoryFiles(root)));
  return files;
}

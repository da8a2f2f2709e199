import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { serveWorker } from '../platform/node/logWorker';
import { reduceLogJob, type LogRequest } from '../session/reduceLogJob';

/** What the server sends to its worker threads. */
export interface LogJob {
  readonly root: string;
  readonly request: LogRequest;
}

/** The worker thread of the server: reads one log of a repository at a time and sends back what is kept of it. */
const repositories = new Map<string, NodeRepositoryFiles>();

serveWorker((job, signal) => {
  const { root, request } = job as LogJob;
  let files = repositories.get(root);
  if (files === undefined) repositories.set(root, (files = new NodeRepositoryFiles(root)));
  return reduceLogJob({ files, gunzip: nodeGunzip() }, request, signal);
});

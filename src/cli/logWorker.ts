import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { serveWorker } from '../platform/node/logWorker';
import { reduceLogJob } from '../session/reduceLogJob';
import type { LogJob } from './openSession';

/** The worker thread of the command line: reads one log of a repository at a time and sends back what is kept of it. */
export function serveLogs(): void {
  let repository: NodeRepositoryFiles | undefined;
  serveWorker((job, signal) => {
    const { root, request } = job as LogJob;
    if (repository?.root !== root) repository = new NodeRepositoryFiles(root);
    return reduceLogJob({ files: repository, gunzip: nodeGunzip() }, request, signal);
  });
}

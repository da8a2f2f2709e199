import { homedir } from 'node:os';
import { userCacheFolder } from '../platform/node/cacheFolder';
import { DiskDerivedStore } from '../platform/node/diskDerivedStore';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles, type ListingOptions } from '../platform/node/nodeRepositoryFiles';
import type { WorkerOffload } from '../platform/node/workerOffload';
import type { RepositoryFiles } from '../ports/repositoryFiles';
import { reduceLogJob, type LogReport, type LogRequest } from '../session/reduceLogJob';
import { ReviewSession } from '../session/reviewSession';
import type { SessionPorts } from '../session/sessionPorts';
import type { AbortSignalLike } from '../ports/abort';
import type { Progress } from '../ports/services';
import { productBuild } from './productVersion';
import { ProgressLine } from './progressLine';
import { errorTerminal } from './standardStreams';

/** What crosses to the worker thread: which repository, which log. */
export interface LogJob {
  readonly root: string;
  readonly request: LogRequest;
}

export interface RunControl {
  readonly signal: AbortSignalLike;
  readonly progress: Progress;
}

/**
 * Opens a session on the repository, runs `work` on it with progress on standard error, and ends the worker threads.
 * The first Ctrl+C gives the run up cleanly; a second one ends the process as usual.
 */
export function withSession<Result>(
  root: string,
  useCache: boolean,
  work: (session: ReviewSession, run: RunControl) => Promise<Result>,
): Promise<Result> {
  const source: SessionSource = { files: (disk) => disk, isElsewhere: () => false, listing: {}, usesKept: true };
  return withSessionOn(root, useCache, source, work);
}

/** What a session reads in place of the disk. */
export interface SessionSource {
  files(disk: NodeRepositoryFiles): RepositoryFiles;
  /** Whether a log is another than the disk's, so that the worker threads cannot read it. */
  isElsewhere(path: string): boolean;
  readonly listing: Pick<ListingOptions, 'keepsFolders' | 'toldPaths'>;
  /** Whether what was told of results before is of use. */
  readonly usesKept: boolean;
}

/** As `withSession`, on files that may be others than the disk's. */
export async function withSessionOn<Result>(
  root: string,
  useCache: boolean,
  source: SessionSource,
  work: (session: ReviewSession, run: RunControl) => Promise<Result>,
): Promise<Result> {
  const ports = portsOf(root, useCache);
  const { store } = ports;
  const disk = new NodeRepositoryFiles(root, { store, ...source.listing });
  const files = source.files(disk);
  const readers = new LogReaders();
  const build = productBuild();
  const session = new ReviewSession({
    ...ports,
    ...(source.usesKept &&
      store !== undefined &&
      build !== undefined && { kept: { store, key: `${disk.root}\n${build}` } }),
    files,
    logs: {
      run: (request, signal) =>
        source.isElsewhere(request.file)
          ? reduceLogJob({ files, gunzip: nodeGunzip() }, request, signal)
          : readers.run({ root: disk.root, request }, signal),
    },
  });
  const interruption = new AbortController();
  const interrupt = (): void => {
    interruption.abort();
  };
  process.once('SIGINT', interrupt);
  const line = new ProgressLine(errorTerminal());
  try {
    return await work(session, { signal: interruption.signal, progress: line.report });
  } finally {
    process.removeListener('SIGINT', interrupt);
    line.end();
    await readers.close();
  }
}

/** Threads that read logs. What starts them is loaded with the first log: most reviews read none anew. */
class LogReaders {
  #offload: Promise<WorkerOffload<LogJob, LogReport>> | undefined;

  async run(job: LogJob, signal: AbortSignalLike | undefined): Promise<LogReport> {
    this.#offload ??= import('../platform/node/workerOffload').then(
      (module) => new module.WorkerOffload(new URL('./logWorker.cjs', import.meta.url)),
    );
    return (await this.#offload).run(job, signal);
  }

  async close(): Promise<void> {
    await (await this.#offload)?.close();
  }
}

/** What every session has of this machine, whatever files it reads. */
export function portsOf(root: string, useCache: boolean): Omit<SessionPorts, 'files'> {
  const folder = useCache ? userCacheFolder(process.platform, process.env, homedir()) : undefined;
  return {
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: { today: () => new Date().toISOString().slice(0, 10) },
    ...(folder !== undefined && { store: new DiskDerivedStore({ folder, repositoryRoot: root }) }),
  };
}

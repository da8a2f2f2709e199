import { existsSync, readdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { DiskDerivedStore } from '../platform/node/diskDerivedStore';
import { userCacheFolder } from '../platform/node/cacheFolder';
import { GitRevisions } from '../platform/node/gitRevisions';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { WorkerOffload } from '../platform/node/workerOffload';
import type { ServerOptions } from '../protocol/requests';
import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { SessionPorts } from '../session/sessionPorts';
import { parentUri } from './folderUri';
import type { LogAnswer, LogJob } from './logWorker';
import type { OpenedPorts, ServerPlatform } from './serverPlatform';
import { workerLogs } from './workerLogs';

const MARKER = 'damper-review.yaml';
/** A repository lies near the folder that is opened; nobody waits for a search through a whole disk. */
const DEEPEST = 6;
const MOST_FOLDERS = 20_000;

/** Folders of a disk. @param worker file of the log worker's entry */
export function nodePlatform(options: ServerOptions, worker: URL): ServerPlatform {
  const offload = new WorkerOffload<LogJob, LogAnswer>(worker);
  const cache = options.cacheFolder ?? userCacheFolder(process.platform, process.env, homedir());
  const open = (root: string): OpenedPorts => {
    const disk = new NodeRepositoryFiles(fileURLToPath(root));
    const portsFor = (files: RepositoryFiles, isElsewhere: (path: string) => boolean): SessionPorts => ({
      files,
      digest: nodeDigest,
      gunzip: nodeGunzip(),
      clock: { today: () => new Date().toISOString().slice(0, 10) },
      ...(cache !== undefined && { store: new DiskDerivedStore({ folder: cache, repositoryRoot: disk.root }) }),
      ...workerLogs(offload, { root: disk.root, files, isElsewhere }),
    });
    let revisions: Promise<GitRevisions> | undefined;
    const openRevisions = (): Promise<GitRevisions> => {
      revisions ??= GitRevisions.open(disk.root, options.gitPath);
      revisions.catch(() => (revisions = undefined)); // what is mended may be asked again
      return revisions;
    };
    return {
      ports: portsFor(disk, () => false),
      ...(options.trusted && { history: { revisions: openRevisions, portsFor } }),
      close: () => {
        void revisions?.then((opened) => opened.close()).catch(() => undefined);
      },
    };
  };
  return {
    repositoriesBelow: (folder) => Promise.resolve(markedFolders(folder)),
    repositoryAround: (file) => Promise.resolve(markedFolderAround(file)),
    open,
    limitsOf: () =>
      options.trusted ? [] : ['This workspace is not trusted: no program is started, so revisions are not read.'],
    close: () => offload.close(),
  };
}

function markedFolders(uri: string): string[] {
  const found: string[] = [];
  const open = [{ folder: fileURLToPath(uri), depth: 0 }];
  for (let visited = 0; visited < MOST_FOLDERS; visited++) {
    const at = open.shift();
    if (at === undefined) break;
    const entries = entriesOf(at.folder);
    if (entries.some((entry) => entry.isFile() && entry.name === MARKER)) found.push(pathToFileURL(at.folder).href);
    if (at.depth === DEEPEST) continue;
    for (const entry of entries)
      if (entry.isDirectory() && !entry.name.startsWith('.') && entry.name !== 'node_modules')
        open.push({ folder: join(at.folder, entry.name), depth: at.depth + 1 });
  }
  return found;
}

/** A folder that may not be read holds nothing for us. */
function entriesOf(folder: string) {
  try {
    return readdirSync(folder, { withFileTypes: true });
  } catch {
    return [];
  }
}

function markedFolderAround(uri: string): string | undefined {
  for (let at = parentUri(uri); at.length > 'file:///'.length; at = parentUri(at)) {
    const path = fileURLToPath(at);
    if (existsSync(join(path, MARKER))) return at;
  }
  return undefined;
}

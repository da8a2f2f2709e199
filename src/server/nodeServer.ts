import { existsSync, readdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { DiskDerivedStore } from '../platform/node/diskDerivedStore';
import { userCacheFolder } from '../platform/node/cacheFolder';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../platform/node/nodeRepositoryFiles';
import { WorkerOffload } from '../platform/node/workerOffload';
import type { ServerOptions } from '../protocol/requests';
import type { LogReport } from '../session/reduceLogJob';
import { parentUri } from './folderUri';
import type { LogJob } from './logWorker';
import { startServer } from './server';
import type { OpenedPorts, ServerPlatform } from './serverPlatform';

const MARKER = 'damper-review.yaml';
/** A repository lies near the folder that is opened; nobody waits for a search through a whole disk. */
const DEEPEST = 6;
const MOST_FOLDERS = 20_000;

function nodePlatform(options: ServerOptions): ServerPlatform {
  const offload = new WorkerOffload<LogJob, LogReport>(new URL('./serverLogWorker.mjs', import.meta.url));
  const cache = options.cacheFolder ?? userCacheFolder(process.platform, process.env, homedir());
  const open = (root: string): OpenedPorts => {
    const files = new NodeRepositoryFiles(fileURLToPath(root));
    return {
      ports: {
        files,
        digest: nodeDigest,
        gunzip: nodeGunzip(),
        clock: { today: () => new Date().toISOString().slice(0, 10) },
        ...(cache !== undefined && { store: new DiskDerivedStore({ folder: cache, repositoryRoot: files.root }) }),
        logs: { run: (request, signal) => offload.run({ root: files.root, request }, signal) },
      },
      close: () => undefined,
    };
  };
  return {
    repositoriesBelow: (folder) => Promise.resolve(isFile(folder) ? markedFolders(folder) : []),
    repositoryAround: (file) => Promise.resolve(isFile(file) ? markedFolderAround(file) : undefined),
    open,
    limits: [],
    close: () => offload.close(),
  };
}

function isFile(uri: string): boolean {
  return uri.startsWith('file:');
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

const connection = createConnection(ProposedFeatures.all);
startServer(connection, nodePlatform);
connection.listen();

import { fileURLToPath, pathToFileURL } from 'node:url';
import { fixedClock, type MemoryStore } from '../../src/platform/memory/memoryServices';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import type { RepositoryFiles } from '../../src/ports/repositoryFiles';
import type { ServerPlatform } from '../../src/server/serverPlatform';
import type { SessionPorts } from '../../src/session/sessionPorts';
import { TODAY } from '../session/workshop';

/** A platform on one folder of the disk, under git unless that must not be started. Counts how often git was opened. */
export function gitPlatform(
  folder: string,
  store: MemoryStore,
  withHistory = true,
): { readonly platform: ServerPlatform; readonly opened: () => number } {
  let opened = 0;
  const root = pathToFileURL(folder).href;
  const portsFor = (files: RepositoryFiles): SessionPorts => ({
    files,
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock(TODAY),
    store,
  });
  const platform: ServerPlatform = {
    repositoriesBelow: (below) => Promise.resolve(root.startsWith(below) ? [root] : []),
    repositoryAround: (file) => Promise.resolve(file.startsWith(`${root}/`) ? root : undefined),
    open: (uri) => {
      let revisions: Promise<GitRevisions> | undefined;
      const open = (): Promise<GitRevisions> => {
        opened += 1;
        return (revisions ??= GitRevisions.open(fileURLToPath(uri)));
      };
      return {
        ports: portsFor(new NodeRepositoryFiles(fileURLToPath(uri))),
        ...(withHistory && { history: { revisions: open, portsFor } }),
        close: () => {
          void revisions?.then((all) => all.close()).catch(() => undefined);
        },
      };
    },
    limitsOf: () => [],
    close: () => Promise.resolve(),
  };
  return { platform, opened: () => opened };
}

import { fixedClock, MemoryStore } from '../../src/platform/memory/memoryServices';
import type { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import type { SessionPorts } from '../../src/session/sessionPorts';
import type { ServerPlatform } from '../../src/server/serverPlatform';
import { TODAY } from '../session/workshop';

/** A platform whose folders live in memory, by address without a slash at the end. */
export function memoryPlatform(
  folders: ReadonlyMap<string, MemoryFiles>,
  more: Partial<SessionPorts> = {},
): ServerPlatform {
  const marked = async (): Promise<string[]> => {
    const found: string[] = [];
    for (const [root, files] of folders) if ((await files.stat('damper-review.yaml')) !== undefined) found.push(root);
    return found;
  };
  return {
    repositoriesBelow: async (folder) =>
      (await marked()).filter((root) => root === folder || root.startsWith(`${folder}/`)),
    repositoryAround: async (file) =>
      (await marked()).filter((root) => file.startsWith(`${root}/`)).sort((a, b) => b.length - a.length)[0],
    open: (root) => {
      const files = folders.get(root);
      if (files === undefined) throw new Error(`no folder ${root}`);
      return {
        ports: {
          files,
          digest: nodeDigest,
          gunzip: nodeGunzip(),
          clock: fixedClock(TODAY),
          store: new MemoryStore(),
          ...more,
        },
        close: () => undefined,
      };
    },
    limitsOf: () => [],
    close: () => Promise.resolve(),
  };
}

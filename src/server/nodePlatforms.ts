import type { Connection } from 'vscode-languageserver';
import { nodeDigest } from '../platform/node/nodeDigest';
import { nodeGunzip } from '../platform/node/nodeGunzip';
import type { ServerOptions } from '../protocol/requests';
import { nodePlatform } from './nodePlatform';
import { requestedPlatform } from './requestedPlatform';
import type { ServerPlatform } from './serverPlatform';

/**
 * Every folder that an editor on Node.js may have open: those of a disk are read here, with history and worker threads; those of any other
 * scheme, which another extension provides, come from the client as they do in a browser. @param worker file of the log worker's entry
 */
export function nodePlatforms(options: ServerOptions, worker: URL, connection: Connection): ServerPlatform {
  const disk = nodePlatform(options, worker);
  const requested = requestedPlatform(connection, 'In a folder of a virtual file system', {
    digest: nodeDigest,
    gunzip: nodeGunzip(),
  });
  const platformOf = (uri: string): ServerPlatform => (/^file:/i.test(uri) ? disk : requested);
  return {
    repositoriesBelow: (folder) => platformOf(folder).repositoriesBelow(folder),
    repositoryAround: (file) => platformOf(file).repositoryAround(file),
    open: (root) => platformOf(root).open(root),
    limitsOf: (folder) => platformOf(folder).limitsOf(folder),
    close: async () => {
      await Promise.all([disk.close(), requested.close()]);
    },
  };
}

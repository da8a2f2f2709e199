import type { Connection } from 'vscode-languageserver';
import { MemoryStore } from '../platform/memory/memoryServices';
import { portableDigest } from '../platform/memory/sha256';
import { MOST_REQUESTED_BYTES, RequestedFiles } from '../platform/web/requestedFiles';
import { webGunzip } from '../platform/web/webGunzip';
import { askedFiles } from './askedFiles';
import { FolderUri, parentUri } from './folderUri';
import type { ServerPlatform } from './serverPlatform';

const MARKER = 'damper-review.yaml';
const MOST_EXPANDED = 8 * MOST_REQUESTED_BYTES;

/** The server's own thread is the browser's worker, so logs are read in it; files come from the client. */
export function browserPlatform(connection: Connection): ServerPlatform {
  const asker = askedFiles(connection);
  return {
    repositoriesBelow: async (folder) => {
      const { files } = await asker.list(folder);
      const below = new FolderUri(folder);
      return files
        .filter(({ path }) => path === MARKER || path.endsWith(`/${MARKER}`))
        .map(({ path }) => below.uriOf(path.slice(0, -MARKER.length - 1)));
    },
    repositoryAround: async (file) => {
      for (let at = parentUri(file); /^[a-z][a-z0-9+.-]*:\/\/[^/]*\/./i.test(at); at = parentUri(at))
        if ((await asker.stat(`${at}/${MARKER}`)) !== undefined) return at;
      return undefined;
    },
    open: (root) => {
      const folder = new FolderUri(root);
      return {
        ports: {
          files: new RequestedFiles(asker, (path) => folder.uriOf(path)),
          digest: portableDigest,
          gunzip: webGunzip(MOST_EXPANDED),
          clock: { today: () => new Date().toISOString().slice(0, 10) },
          store: new MemoryStore(),
        },
        close: () => undefined,
      };
    },
    limits: [
      `In the browser files larger than ${MOST_REQUESTED_BYTES / 1024 / 1024} MiB are not read, and there is no git history: revisions cannot be compared.`,
    ],
    close: () => Promise.resolve(),
  };
}

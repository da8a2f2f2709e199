import type { Connection } from 'vscode-languageserver';
import { MemoryStore } from '../platform/memory/memoryServices';
import { MOST_REQUESTED_BYTES, RequestedFiles } from '../platform/web/requestedFiles';
import type { Digest, Gunzip } from '../ports/services';
import { askedFiles } from './askedFiles';
import { FolderUri, foldersAround } from './folderUri';
import type { ServerPlatform } from './serverPlatform';

const MARKER = 'damper-review.yaml';

/** What a place that the server runs in does itself, wherever the files come from. */
export interface OwnServices {
  readonly digest: Digest;
  readonly gunzip: Gunzip;
}

/**
 * Folders whose files the client alone reaches: those of a virtual file system. Their logs are read in the server's own thread, nothing is kept
 * between runs, and there is no history.
 * @param where the folders, as a sentence begins with them
 */
export function requestedPlatform(connection: Connection, where: string, services: OwnServices): ServerPlatform {
  const asker = askedFiles(connection);
  const limit = `${where} files larger than ${MOST_REQUESTED_BYTES / 1024 / 1024} MiB are not read, and there is no git history: revisions cannot be compared.`;
  return {
    repositoriesBelow: async (folder) => {
      const below = new FolderUri(folder);
      const markers = await asker.list(folder).then(
        ({ files, problems }) => {
          // Of folders inside a repository its review says so.
          for (const { path, message } of problems) if (path === '') tellUnread(folder, message);
          return files.filter(({ path }) => path === MARKER || path.endsWith(`/${MARKER}`));
        },
        (error: unknown) => {
          // One folder that cannot be looked through keeps none of the others from being judged.
          tellUnread(folder, error instanceof Error ? error.message : String(error));
          return [];
        },
      );
      return markers.map(({ path }) => below.uriOf(path.slice(0, -MARKER.length - 1)));
    },
    repositoryAround: async (file) => {
      for (const folder of foldersAround(file)) {
        // The client refuses what lies outside of the open folders: no repository of ours is there.
        const marker = await asker.stat(`${folder}/${MARKER}`).catch(() => undefined);
        if (marker !== undefined) return folder;
      }
      return undefined;
    },
    open: (root) => {
      const folder = new FolderUri(root);
      return {
        ports: {
          files: new RequestedFiles(asker, (path) => folder.uriOf(path)),
          ...services,
          clock: { today: () => new Date().toISOString().slice(0, 10) },
          store: new MemoryStore(),
        },
        close: () => undefined,
      };
    },
    limitsOf: () => [limit],
    close: () => Promise.resolve(),
  };

  function tellUnread(folder: string, message: string): void {
    connection.console.error(`${folder} could not be looked through: ${message}`);
  }
}

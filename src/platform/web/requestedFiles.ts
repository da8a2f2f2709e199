import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import { nextTurn } from './turns';

/** What a browser's worker, which has no files of its own, asks its client. Paths are relative to the asked folder. */
export interface FileAsker {
  list(folder: string): Promise<{
    readonly files: readonly FileEntry[];
    readonly problems: readonly { readonly path: string; readonly message: string }[];
  }>;
  stat(file: string): Promise<Omit<FileEntry, 'path'> | undefined>;
  /** @throws FilePortError */
  read(file: string, path: string, limit: number): Promise<Uint8Array>;
}

/** Largest file that is fetched through messages, in bytes: a log beyond it is for the desktop. */
export const MOST_REQUESTED_BYTES = 64 * 1024 * 1024;
const PIECE = 256 * 1024;
/** After so many bytes the thread looks at what else was asked of it: bytes that are all there would hold it until their end. */
const BETWEEN_TURNS = 4 * PIECE;

/** A repository on a virtual file system, read by requests to the client. */
export class RequestedFiles implements RepositoryFiles {
  readonly #asker: FileAsker;
  readonly #uriOf: (path: string) => string;

  /** @param uriOf address of a path of the repository, '' for its root */
  constructor(asker: FileAsker, uriOf: (path: string) => string) {
    this.#asker = asker;
    this.#uriOf = uriOf;
  }

  async list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    throwIfAborted(signal);
    const { files, problems } = await this.#asker.list(this.#uriOf(under));
    throwIfAborted(signal);
    const inside = (path: string): string => (under === '' ? path : `${under}/${path}`);
    return {
      files: files
        .filter(({ path }) => isPlain(path))
        .map((file) => ({ ...file, path: inside(file.path) }))
        .sort((a, b) => (a.path < b.path ? -1 : 1)),
      problems: problems.map(({ path, message }) => new FilePortError('denied', inside(path), message)),
    };
  }

  async stat(path: string): Promise<FileEntry | undefined> {
    const facts = await this.#asker.stat(this.#uriOf(path));
    return facts === undefined ? undefined : { path, ...facts };
  }

  read(path: string, limit = MOST_REQUESTED_BYTES): Promise<Uint8Array> {
    return this.#asker.read(this.#uriOf(path), path, Math.min(limit, MOST_REQUESTED_BYTES));
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    const bytes = await this.read(path);
    for (let start = 0; start < bytes.length; start += PIECE) {
      if (start > 0 && start % BETWEEN_TURNS === 0) await nextTurn();
      throwIfAborted(signal);
      yield bytes.subarray(start, start + PIECE);
    }
  }
}

/** A client that names paths outside of the folder is not believed. */
function isPlain(path: string): boolean {
  const parts = path.split('/');
  return (
    !path.startsWith('/') &&
    parts.every((part) => part !== '' && part !== '.' && part !== '..' && part !== '.git' && part !== 'node_modules')
  );
}

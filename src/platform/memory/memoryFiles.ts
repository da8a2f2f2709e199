import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import {
  FilePortError,
  type FileEntry,
  type RepositoryFiles,
  type RepositoryWriter,
} from '../../ports/repositoryFiles';

interface StoredFile {
  readonly bytes: Uint8Array;
  readonly modified: number;
}

/**
 * A repository that lives in memory: for tests, and for faces that have no disk. Time is a counter, so that every write
 * looks newer than the one before it and nothing depends on the machine's clock.
 */
export class MemoryFiles implements RepositoryFiles, RepositoryWriter {
  readonly #files = new Map<string, StoredFile>();
  readonly #chunkSize: number;
  #ticks = 0;

  /** @param chunkSize bytes that `open` hands out at a time; small values show whether a reader minds the borders. */
  constructor(files: Readonly<Record<string, string | Uint8Array>> = {}, chunkSize = 65_536) {
    this.#chunkSize = chunkSize;
    for (const [path, content] of Object.entries(files)) this.set(path, content);
  }

  set(path: string, content: string | Uint8Array): void {
    this.#ticks += 1;
    const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content.slice();
    this.#files.set(path, { bytes, modified: this.#ticks });
  }

  remove(path: string): void {
    this.#files.delete(path);
  }

  list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    return settled(() => {
      throwIfAborted(signal);
      const prefix = under === '' ? '' : `${under}/`;
      const files = [...this.#files]
        .filter(([path]) => path.startsWith(prefix) && !isSkipped(path))
        .map(([path, file]) => entryOf(path, file))
        .sort((a, b) => (a.path < b.path ? -1 : 1));
      return { files, problems: [] };
    });
  }

  stat(path: string): Promise<FileEntry | undefined> {
    const file = this.#files.get(path);
    return Promise.resolve(file === undefined ? undefined : entryOf(path, file));
  }

  read(path: string, limit = Infinity): Promise<Uint8Array> {
    return settled(() => {
      const file = this.#require(path);
      if (file.bytes.length > limit) {
        throw new FilePortError('too-large', path, `has ${file.bytes.length} bytes, more than the ${limit} allowed`);
      }
      return file.bytes.slice();
    });
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    const { bytes } = this.#require(path);
    for (let start = 0; start < bytes.length; start += this.#chunkSize) {
      throwIfAborted(signal);
      yield await Promise.resolve(bytes.slice(start, start + this.#chunkSize));
    }
  }

  writeAtomic(path: string, content: Uint8Array): Promise<void> {
    return settled(() => {
      this.set(path, content);
    });
  }

  #require(path: string): StoredFile {
    const file = this.#files.get(path);
    if (file === undefined) throw new FilePortError('not-found', path, 'does not exist');
    return file;
  }
}

/** A promise of what `work` returns; what it throws becomes the rejection, as from a port that really waits. */
function settled<T>(work: () => T): Promise<T> {
  return new Promise((resolve) => {
    resolve(work());
  });
}

function entryOf(path: string, file: StoredFile): FileEntry {
  return { path, size: file.bytes.length, modified: file.modified, changed: file.modified };
}

function isSkipped(path: string): boolean {
  return path.split('/').some((part) => part === '.git' || part === 'node_modules');
}

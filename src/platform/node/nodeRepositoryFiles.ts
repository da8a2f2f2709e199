import {
  closeSync,
  constants,
  fstatSync,
  lstatSync,
  openSync,
  read as readPart,
  readSync,
  realpathSync,
  statSync,
} from 'node:fs';
import { promisify } from 'node:util';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import { asFilePortError } from './fileErrors';
import { FolderWalk } from './folderWalk';
import { assertRepositoryPath, HOST_FLAVOUR, nativePathOf, repositoryPathOf } from './repositoryPath';

const CHUNK_BYTES = 256 * 1024;
/** Room for what a file grew by while it was read: nothing, as a rule. */
const END_BYTES = 1024;
/** Small files are read whole; anything near this size is no file of ours and would only fill memory. */
const WHOLE_FILE_LIMIT = 256 * 1024 * 1024;
/** O_NONBLOCK keeps a named pipe from holding up the run before its kind is known. Both are absent on Windows. */
const OPEN_FLAGS = constants.O_RDONLY | optional(constants.O_NOFOLLOW) | optional(constants.O_NONBLOCK);

/**
 * The files below one folder of the disk. Links are resolved before anything is opened, and what they lead to must lie
 * below the root; the file that was opened is then checked to be the one that was resolved.
 */
export class NodeRepositoryFiles implements RepositoryFiles {
  readonly root: string;

  /** @param root an existing folder; links in its own path are resolved once. */
  constructor(root: string) {
    this.root = realpathSync.native(root);
  }

  async list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    if (under !== '') assertRepositoryPath(under, HOST_FLAVOUR);
    const walk = new FolderWalk(this.root, signal);
    await walk.run(under);
    return { files: walk.files.sort(byPath), problems: walk.problems.sort(byPath) };
  }

  /** The entry of the file itself: a link inside the repository gives the path that it leads to. */
  stat(path: string): Promise<FileEntry | undefined> {
    return new Promise((resolve) => {
      resolve(this.#stat(path));
    });
  }

  #stat(path: string): FileEntry | undefined {
    try {
      const real = this.#resolve(path);
      const stats = statSync(real);
      const inside = repositoryPathOf(this.root, real, HOST_FLAVOUR);
      if (!stats.isFile() || inside === undefined) return undefined;
      return { path: inside, size: stats.size, modified: stats.mtimeMs, changed: stats.ctimeMs };
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code === 'not-found') return undefined;
      throw fault;
    }
  }

  read(path: string, limit = WHOLE_FILE_LIMIT): Promise<Uint8Array> {
    return new Promise((resolve) => {
      resolve(this.#read(path, limit));
    });
  }

  #read(path: string, limit: number): Uint8Array {
    const { handle, size } = this.#open(path);
    try {
      if (size > limit) throw tooLarge(path, limit);
      const content = readWhole(handle, size, limit);
      if (content.length > limit) throw tooLarge(path, limit); // it grew since
      return content;
    } catch (error) {
      throw asFilePortError(path, error);
    } finally {
      closeSync(handle);
    }
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    throwIfAborted(signal);
    const { handle, size } = this.#open(path);
    try {
      let left = size;
      for (;;) {
        throwIfAborted(signal);
        const chunk = await readChunk(handle, path, left > 0 ? Math.min(CHUNK_BYTES, left) : END_BYTES);
        if (chunk.length === 0) return;
        left -= chunk.length;
        yield chunk;
      }
    } finally {
      closeSync(handle);
    }
  }

  /** @throws FilePortError where the path, or a link on its way, leaves the root or loops */
  #resolve(path: string): string {
    assertRepositoryPath(path, HOST_FLAVOUR);
    let real: string;
    try {
      real = realpathSync.native(nativePathOf(this.root, path, HOST_FLAVOUR));
    } catch (error) {
      throw asFilePortError(path, error);
    }
    if (repositoryPathOf(this.root, real, HOST_FLAVOUR) === undefined) {
      throw new FilePortError('outside', path, 'is, or lies behind, a link that leaves the repository');
    }
    return real;
  }

  /** Node's synchronous calls are several times faster than its promises, which shows with thousands of small files. */
  #open(path: string): { handle: number; size: number } {
    const real = this.#resolve(path);
    let handle: number;
    try {
      handle = openSync(real, OPEN_FLAGS);
    } catch (error) {
      throw asFilePortError(path, error);
    }
    try {
      const stats = fstatSync(handle);
      if (!stats.isFile()) throw new FilePortError('not-a-file', path, 'is not a plain file');
      // A folder on the way may have been swapped for a link between resolving and opening.
      if (this.#resolve(path) !== real || !isSameFile(real, stats)) {
        throw new FilePortError('io', path, 'was replaced while it was being opened; try again');
      }
      return { handle, size: stats.size };
    } catch (error) {
      closeSync(handle);
      throw asFilePortError(path, error);
    }
  }
}

/** All bytes; one more than `limit` at most, where the file grew. */
function readWhole(handle: number, size: number, limit: number): Uint8Array {
  let content = new Uint8Array(size + 1);
  let length = 0;
  while (length <= limit) {
    if (length === content.length) content = longer(content);
    const read = readSync(handle, content, length, content.length - length, null);
    if (read === 0) break;
    length += read;
  }
  return content.subarray(0, length);
}

function longer(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  const twice = new Uint8Array(2 * bytes.length);
  twice.set(bytes);
  return twice;
}

const readLater = promisify(readPart);

async function readChunk(handle: number, path: string, length: number): Promise<Uint8Array> {
  const buffer = new Uint8Array(length);
  try {
    // A small file is there at once; a large one leaves the thread to others meanwhile.
    const bytesRead =
      length < CHUNK_BYTES
        ? readSync(handle, buffer, 0, length, null)
        : (await readLater(handle, buffer, 0, length, null)).bytesRead;
    return buffer.subarray(0, bytesRead);
  } catch (error) {
    throw asFilePortError(path, error);
  }
}

function isSameFile(real: string, opened: { dev: number; ino: number }): boolean {
  const now = lstatSync(real);
  return now.dev === opened.dev && now.ino === opened.ino;
}

function tooLarge(path: string, limit: number): FilePortError {
  return new FilePortError(
    'too-large',
    path,
    `is larger than the ${Math.floor(limit / 1024 / 1024)} MiB that such a file may have`,
  );
}

function byPath(a: { path: string }, b: { path: string }): number {
  return a.path < b.path ? -1 : a.path > b.path ? 1 : 0;
}

function optional(flag: number | undefined): number {
  return flag ?? 0;
}

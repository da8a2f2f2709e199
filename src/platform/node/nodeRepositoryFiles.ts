import { constants, lstatSync, realpathSync, statSync } from 'node:fs';
import { open as openHandle, type FileHandle } from 'node:fs/promises';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import { asFilePortError } from './fileErrors';
import { FolderWalk } from './folderWalk';
import { assertRepositoryPath, HOST_FLAVOUR, nativePathOf, repositoryPathOf } from './repositoryPath';

const CHUNK_BYTES = 256 * 1024;
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
      return { path: inside, size: stats.size, modified: stats.mtimeMs };
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code === 'not-found') return undefined;
      throw fault;
    }
  }

  async read(path: string, limit = WHOLE_FILE_LIMIT): Promise<Uint8Array> {
    const handle = await this.#open(path);
    try {
      const { size } = await handle.stat();
      if (size > limit) throw tooLarge(path, limit);
      const content = await handle.readFile();
      if (content.length > limit) throw tooLarge(path, limit); // it grew since
      return new Uint8Array(content.buffer, content.byteOffset, content.length);
    } catch (error) {
      throw asFilePortError(path, error);
    } finally {
      await handle.close();
    }
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    throwIfAborted(signal);
    const handle = await this.#open(path);
    try {
      for (;;) {
        throwIfAborted(signal);
        const { bytesRead, buffer } = await readChunk(handle, path);
        if (bytesRead === 0) return;
        yield buffer.subarray(0, bytesRead);
      }
    } finally {
      await handle.close();
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

  async #open(path: string): Promise<FileHandle> {
    const real = this.#resolve(path);
    let handle: FileHandle;
    try {
      handle = await openHandle(real, OPEN_FLAGS);
    } catch (error) {
      throw asFilePortError(path, error);
    }
    try {
      const stats = await handle.stat();
      if (!stats.isFile()) throw new FilePortError('not-a-file', path, 'is not a plain file');
      // A folder on the way may have been swapped for a link between resolving and opening.
      if (this.#resolve(path) !== real || !isSameFile(real, stats)) {
        throw new FilePortError('io', path, 'was replaced while it was being opened; try again');
      }
      return handle;
    } catch (error) {
      await handle.close();
      throw asFilePortError(path, error);
    }
  }
}

async function readChunk(handle: FileHandle, path: string): Promise<{ bytesRead: number; buffer: Uint8Array }> {
  try {
    return await handle.read(new Uint8Array(CHUNK_BYTES), 0, CHUNK_BYTES, null);
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

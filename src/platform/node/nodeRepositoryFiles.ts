import {
  closeSync,
  constants,
  fstatSync,
  lstatSync,
  openSync,
  readlinkSync,
  readSync,
  realpathSync,
  statSync,
} from 'node:fs';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type FileList, type RepositoryFiles } from '../../ports/repositoryFiles';
import type { DerivedStore } from '../../ports/services';
import { asFilePortError } from './fileErrors';
import { readChunk, readChunkLater, readWhole } from './fileReads';
import { FolderWalk } from './folderWalk';
import { KnownFolders } from './knownFolders';
import {
  assertRepositoryPath,
  HOST_FLAVOUR,
  isPlainPath,
  nativePathOf,
  nativePathOfMet,
  repositoryPathOf,
} from './repositoryPath';

const CHUNK_BYTES = 256 * 1024;
/** Room for what a file grew by while it was read: nothing, as a rule. */
const END_BYTES = 1024;
/** Small files are read whole; anything near this size is no file of ours and would only fill memory. */
const WHOLE_FILE_LIMIT = 256 * 1024 * 1024;
/** Files that are read without waiting are smaller; most have a few thousand bytes. */
const MOST_AT_ONCE = 64 * 1024;
/** They lie side by side in blocks of so many bytes: memory of its own for each cost as much as opening it. */
const BLOCK_BYTES = 4 * MOST_AT_ONCE;
/** How long an entry of the list stands for its file, so that it is opened by its path as it was listed [ms]. */
const VOUCHED_FOR = 10_000;
const REFUSES_LINKS = optional(constants.O_NOFOLLOW) !== 0;
/** O_NONBLOCK keeps a named pipe from holding up the run before its kind is known. Both are absent on Windows. */
const OPEN_FLAGS = constants.O_RDONLY | optional(constants.O_NOFOLLOW) | optional(constants.O_NONBLOCK);

/** How the files are listed. */
export interface ListingOptions {
  /** Has what its folders held, so that those that did not change need not be listed. */
  readonly store?: DerivedStore | undefined;
  /** Whether it is to keep what they hold now, for the next process: it is, unless said otherwise. */
  readonly keepsFolders?: boolean;
  /** Paths of all files, in the order of the list, where another program tells them; some may be gone. Asked for the first list alone. */
  readonly toldPaths?: () => Promise<readonly string[] | undefined>;
}

/**
 * The files below one folder of the disk. Links are resolved before anything is opened, and what they lead to must lie
 * below the root; the file that was opened is then checked to be the one that was resolved. A listed file may be read at once
 * ({@link readNow}): it is checked to be the one that was listed.
 */
export class NodeRepositoryFiles implements RepositoryFiles {
  readonly root: string;
  readonly #device: number;
  readonly #listing: ListingOptions;
  #wasListed = false;
  /** When the files were last listed, by the clock of {@link Date.now}. */
  #listedAt = 0;
  /** Where the next file that is read without waiting goes, and from which byte on. */
  #block = new Uint8Array(0);
  #used = 0;

  /**
   * @param root an existing folder; links in its own path are resolved once.
   */
  constructor(root: string, listing: ListingOptions = {}) {
    this.root = realpathSync.native(root);
    this.#device = statSync(this.root).dev;
    this.#listing = listing;
  }

  async list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    if (under !== '') assertRepositoryPath(under, HOST_FLAVOUR);
    this.#listedAt = Date.now();
    const { store, keepsFolders = true, toldPaths } = this.#listing;
    const isWhole = under === '';
    const isFirst = isWhole && !this.#wasListed;
    if (isWhole) this.#wasListed = true;
    const told = isFirst ? await this.#taken(await toldPaths?.(), signal) : undefined;
    if (told !== undefined) return told;
    const known = isWhole && store !== undefined ? await KnownFolders.read(store, this.root, this.#device) : undefined;
    const unchanged = await this.#taken(known?.unchanged(), signal);
    if (unchanged !== undefined) return unchanged;
    const walk = new FolderWalk(this.root, signal, known);
    await walk.run(under);
    if (walk.isPlain && keepsFolders) void known?.save(walk.folders, pathsOf(walk.files)); // never fails, and nobody waits for it
    return this.#listed(walk);
  }

  /** The list of files whose paths are known; undefined where a walk is needed. */
  async #taken(
    paths: readonly string[] | undefined,
    signal: AbortSignalLike | undefined,
  ): Promise<FileList | undefined> {
    if (paths === undefined) return undefined;
    const walk = new FolderWalk(this.root, signal);
    return (await walk.take(paths)) ? this.#listed(walk) : undefined;
  }

  #listed({ files, problems }: FolderWalk): FileList {
    return { files, problems, at: this.#listedAt };
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
      return { path: inside, size: stats.size, modified: stats.mtimeMs, changed: stats.ctimeMs, inode: stats.ino };
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

  /**
   * Resolves nothing: that the opened file is the very one that the walk met in a real folder, by number, size and time of change, which
   * programs cannot set, shows that no link led elsewhere. All else is for `read`, also soon after the walk, as an opening by a path that was
   * not resolved must not become possible for hours. It takes 15 us a file, where resolving and asking /proc takes 45.
   */
  readNow(entry: FileEntry): Uint8Array | undefined {
    const { size } = entry;
    return size === 0 || size >= MOST_AT_ONCE ? undefined : this.#readNow(entry, size, size + 1);
  }

  startNow(entry: FileEntry, most: number): Uint8Array | undefined {
    const length = Math.min(entry.size, most);
    return length === 0 || length >= MOST_AT_ONCE ? undefined : this.#readNow(entry, length, length);
  }

  /** @param length bytes that are to come @param asked bytes that are asked for: one more shows that the file grew */
  #readNow(entry: FileEntry, length: number, asked: number): Uint8Array | undefined {
    const { path, size, changed, inode } = entry;
    if (inode === undefined || !REFUSES_LINKS) return undefined;
    if (!isPlainPath(path) || Date.now() - this.#listedAt > VOUCHED_FOR) return undefined;
    let handle: number | undefined;
    try {
      handle = openSync(nativePathOfMet(this.root, path, HOST_FLAVOUR), OPEN_FLAGS);
      const now = fstatSync(handle);
      if (now.ino !== inode || now.dev !== this.#device || now.ctimeMs !== changed || now.size !== size)
        return undefined;
      return now.isFile() ? this.#readIntoBlock(handle, length, asked) : undefined;
    } catch {
      return undefined; // `read` meets it again, and says what it is
    } finally {
      if (handle !== undefined) closeSync(handle);
    }
  }

  /** Undefined where other than `length` bytes came. */
  #readIntoBlock(handle: number, length: number, asked: number): Uint8Array | undefined {
    if (this.#used + asked > this.#block.length) {
      this.#block = new Uint8Array(BLOCK_BYTES);
      this.#used = 0;
    }
    const start = this.#used;
    if (readSync(handle, this.#block, start, asked, null) !== length) return undefined; // it grew or shrank
    this.#used += length;
    return this.#block.subarray(start, this.#used);
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    throwIfAborted(signal);
    const { handle, size } = this.#open(path);
    try {
      let left = size;
      for (;;) {
        throwIfAborted(signal);
        const length = left > 0 ? Math.min(CHUNK_BYTES, left + 1) : END_BYTES;
        // A small file is there at once; a large one leaves the thread to others meanwhile.
        const chunk =
          length < CHUNK_BYTES ? readChunk(handle, path, length) : await readChunkLater(handle, path, length);
        if (chunk.length === 0) return;
        yield chunk;
        if (chunk.length === left && left < length) return; // one byte more was asked for, and none came
        left -= chunk.length;
      }
    } finally {
      closeSync(handle);
    }
  }

  /** @throws FilePortError where the path, or a link on its way, leaves the root or loops */
  #resolve(path: string): string {
    assertRepositoryPath(path, HOST_FLAVOUR);
    const native = nativePathOf(this.root, path, HOST_FLAVOUR);
    let real: string;
    try {
      real = realpathSync.native(native);
    } catch (error) {
      throw asFilePortError(path, error);
    }
    if (real !== native && repositoryPathOf(this.root, real, HOST_FLAVOUR) === undefined) {
      throw new FilePortError('outside', path, 'is, or lies behind, a link that leaves the repository');
    }
    return real;
  }

  /**
   * Resolves, opens and then checks that what was opened is what was resolved, as a folder on the way may have been swapped for a link in
   * between. Linux tells where the opened file itself lies, free of links: where that is the resolved path, nothing else was opened. That is
   * one call of 3 us instead of resolving again and looking at the file again (10 us); all else, and Linux without /proc, takes the long way.
   * Node's synchronous calls are several times faster than its promises, which shows with thousands of small files.
   */
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
      if (placeOfOpened(handle) !== real && (this.#resolve(path) !== real || !isSameFile(real, stats))) {
        throw new FilePortError('io', path, 'was replaced while it was being opened; try again');
      }
      return { handle, size: stats.size };
    } catch (error) {
      closeSync(handle);
      throw asFilePortError(path, error);
    }
  }
}

function pathsOf(files: readonly FileEntry[]): readonly string[] {
  return files.map(({ path }) => path);
}

/** Real path of an open file by the kernel's own word; undefined where it does not tell. */
function placeOfOpened(handle: number): string | undefined {
  if (process.platform !== 'linux') return undefined;
  try {
    return readlinkSync(`/proc/self/fd/${handle}`);
  } catch {
    return undefined;
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

function optional(flag: number | undefined): number {
  return flag ?? 0;
}

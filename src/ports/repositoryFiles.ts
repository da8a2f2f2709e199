import type { AbortSignalLike } from './abort';

/** A file of the repository. Paths are relative to the repository's root, with forward slashes, never starting with `/`. */
export interface FileEntry {
  readonly path: string;
  readonly size: number;
  /** Milliseconds since 1970; a hint that a file may have changed, never proof that it did not. */
  readonly modified: number;
  /** Milliseconds since 1970: when its content, name or rights last changed, where the system tells. Programs cannot set it. */
  readonly changed?: number;
  /** Which file of its disk it is, where the system tells: another number means another file in its place. */
  readonly inode?: number;
  /** A text that names the content itself, such as the id of an object, where there is one. */
  readonly content?: string;
}

/** Why a path could not be used. `outside`: it, or a link on its way, leaves the repository. */
export type FilePortCode = 'not-found' | 'outside' | 'link-loop' | 'not-a-file' | 'denied' | 'too-large' | 'io';

/** The one error that file ports throw. */
export class FilePortError extends Error {
  override readonly name = 'FilePortError';
  constructor(
    readonly code: FilePortCode,
    readonly path: string,
    message: string,
  ) {
    super(message);
  }
}

export interface FileList {
  readonly files: readonly FileEntry[];
  readonly problems: readonly FilePortError[];
  /** Milliseconds since 1970: when the first of them was looked at, or some time before; as they were asked for where it is left out. */
  readonly at?: number;
}

/** Reading a repository: disk, a git revision, a browser's virtual file system, or memory. */
export interface RepositoryFiles {
  /** Every file below `under` ('' for all), sorted by path. Skips `.git` and `node_modules`. Links that leave the root or loop come as problems. */
  list(under: string, signal?: AbortSignalLike): Promise<FileList>;
  stat(path: string): Promise<FileEntry | undefined>;
  /** Whole content; refuses with `too-large` above `limit` bytes. */
  read(path: string, limit?: number): Promise<Uint8Array>;
  /**
   * Whole content without waiting, where the platform can and the file is still the one that `entry` tells of; undefined otherwise, and
   * then `read` gives the content or says what is wrong. For the thousands of small files of a review: a promise each took as long as the reading.
   * @param entry as `list` or `stat` gave it
   */
  readNow?(entry: FileEntry): Uint8Array | undefined;
  /** As `readNow`, the first bytes of a file of any size: what a log says of itself stands there. @param most so many at most */
  startNow?(entry: FileEntry, most: number): Uint8Array | undefined;
  /** Content in chunks, for large logs. Can be called again to read from the start. */
  open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array>;
}

/** Writing into the work tree. A file is there in full or not at all; a link in its place is refused. */
export interface RepositoryWriter {
  writeAtomic(path: string, content: Uint8Array): Promise<void>;
}

import { createHash } from 'node:crypto';
import {
  closeSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  realpathSync,
  renameSync,
  statSync,
  unlinkSync,
  utimesSync,
  write,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { promisify } from 'node:util';
import type { DerivedStore } from '../../ports/services';
import { systemCode } from './fileErrors';
import { HOST_FLAVOUR, repositoryPathOf } from './repositoryPath';
import { removeLeftovers, temporaryName } from './temporaryFile';

export interface DiskStoreOptions {
  /** Absolute path of the cache's own folder; made when first needed. */
  readonly folder: string;
  /** The repository: a cache folder inside it is not used, so that nothing of ours ever lies in a work tree. */
  readonly repositoryRoot?: string;
  /** Bytes of all entries together; the ones unused for longest go first. */
  readonly limit?: number;
}

const DEFAULT_LIMIT = 512 * 1024 * 1024;
/** After a clean-up this share is left, so that not every write cleans up. */
const LEFT_AFTER_CLEANING = 0.75;
const DIGEST_BYTES = 32;
/** Less is written without waiting: each wait is a way through another thread, which takes longer than the writing. */
const MOST_AT_ONCE = 1024 * 1024;
const writeLater = promisify(write);
const NAME = /^[0-9a-f]{64}\.derived$/u;

/**
 * Derived data in the user's cache folder, one file an entry: a digest of key and value, then the value. An entry that is
 * damaged, cut off or of another key fails its digest and counts as absent. A cache that cannot be written is no error.
 */
export class DiskDerivedStore implements DerivedStore {
  readonly #folder: string;
  readonly #limit: number;
  readonly #repositoryRoot: string | undefined;
  #ready: boolean | undefined;
  /** Bytes in the folder as far as known; measured once, then kept up with every write. */
  #used: number | undefined;

  constructor(options: DiskStoreOptions) {
    this.#folder = options.folder;
    this.#limit = options.limit ?? DEFAULT_LIMIT;
    this.#repositoryRoot = options.repositoryRoot;
  }

  get(key: string): Promise<Uint8Array | undefined> {
    return new Promise((resolve) => {
      resolve(this.#usable() ? this.#read(key) : undefined);
    });
  }

  /** At once: a promise reads a file in parts of half a megabyte, each by way of another thread, and takes twice as long for seven of them. */
  #read(key: string): Uint8Array | undefined {
    const file = this.#fileOf(key);
    try {
      const stored = readFileSync(file);
      const value = new Uint8Array(stored.buffer, stored.byteOffset + DIGEST_BYTES, stored.length - DIGEST_BYTES);
      if (!digestOf(key, value).equals(stored.subarray(0, DIGEST_BYTES))) throw new Error('damaged');
      markUsed(file, new Date());
      return value;
    } catch {
      return undefined;
    }
  }

  async put(key: string, value: Uint8Array): Promise<void> {
    const size = DIGEST_BYTES + value.length;
    if (size > this.#limit || !this.#usable()) return;
    const temporary = join(this.#folder, temporaryName());
    try {
      const file = openSync(temporary, 'wx', 0o600);
      try {
        writeSync(file, digestOf(key, value));
        if (value.length < MOST_AT_ONCE) writeSync(file, value);
        else await writeLater(file, value);
      } finally {
        closeSync(file);
      }
      renameSync(temporary, this.#fileOf(key));
      this.#keepBounds(size);
    } catch {
      remove(temporary);
    }
  }

  #fileOf(key: string): string {
    return join(this.#folder, `${createHash('sha256').update(key).digest('hex')}.derived`);
  }

  /** Makes the folder on first use. */
  #usable(): boolean {
    this.#ready ??= this.#prepare();
    return this.#ready;
  }

  #prepare(): boolean {
    try {
      if (this.#isInWorkTree(realFolder(this.#folder))) return false; // before it is made: not even an empty folder
      mkdirSync(this.#folder, { recursive: true, mode: 0o700 });
      removeLeftovers(this.#folder, Date.now());
      return true;
    } catch {
      return false;
    }
  }

  #isInWorkTree(real: string): boolean {
    if (this.#repositoryRoot === undefined) return false;
    return repositoryPathOf(realpathSync.native(this.#repositoryRoot), real, HOST_FLAVOUR) !== undefined;
  }

  #keepBounds(added: number): void {
    if (this.#used !== undefined) this.#used += added; // an entry written again counts twice until the next measuring
    if (this.#used !== undefined && this.#used <= this.#limit) return;
    const entries = this.#entries();
    let used = entries.reduce((sum, entry) => sum + entry.size, 0);
    if (used > this.#limit) {
      for (const entry of entries) {
        if (used <= this.#limit * LEFT_AFTER_CLEANING) break;
        remove(entry.file);
        used -= entry.size;
      }
    }
    this.#used = used;
  }

  /** Oldest use first. */
  #entries(): { file: string; size: number; used: number }[] {
    const entries: { file: string; size: number; used: number }[] = [];
    for (const name of readdirSync(this.#folder)) {
      if (!NAME.test(name)) continue;
      const file = join(this.#folder, name);
      const stats = statSync(file, { throwIfNoEntry: false });
      if (stats !== undefined) entries.push({ file, size: stats.size, used: stats.mtimeMs });
    }
    return entries.sort((a, b) => a.used - b.used);
  }
}

function remove(file: string): void {
  try {
    unlinkSync(file);
  } catch {
    // another process was there first
  }
}

/** When it was last of use; of no weight where that cannot be written. */
function markUsed(file: string, now: Date): void {
  try {
    utimesSync(file, now, now);
  } catch {
    // a folder that may only be read
  }
}

/** The folder with its links resolved, as far as it exists yet. */
function realFolder(folder: string): string {
  try {
    return realpathSync.native(folder);
  } catch (error) {
    if (systemCode(error) !== 'ENOENT' || dirname(folder) === folder) throw error;
    return join(realFolder(dirname(folder)), basename(folder));
  }
}

function digestOf(key: string, value: Uint8Array): Buffer {
  return createHash('sha256').update(`${key.length}:${key}`).update(value).digest();
}

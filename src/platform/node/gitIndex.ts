import { readFileSync, statSync } from 'node:fs';
import type { FileEntry } from '../../ports/repositoryFiles';

/** What git noted of a file when it last found it equal to an object. */
interface Noted {
  readonly id: string;
  readonly size: number;
  /** Milliseconds since 1970. */
  readonly modified: number;
  readonly changed: number;
}

const STATS_BYTES = 40;
const ASSUME_UNCHANGED = 0x8000;
const EXTENDED = 0x4000;
const STAGE = 0x3000;
const SKIP_WORK_TREE = 0x4000;
/** Times are told to less than this, in milliseconds, by JavaScript's numbers. */
const SAME_TIME = 0.001;
/** A file that was written so shortly before the index may have been written again in the same tick of the file system's clock. */
const SAME_TICK = 20;

/**
 * Git's index, read as a file: which files are untouched since git last compared them with an object. It spares reading thousands of files to
 * see that they are as they were; what it cannot vouch for is read. Git itself is not asked, as that may run a filter.
 *
 * Source: gitformat-index(5), versions 2 to 4.
 */
export class GitIndex {
  readonly #noted: ReadonlyMap<string, Noted>;
  readonly #leftOut: ReadonlySet<string>;
  readonly #written: number;

  private constructor({ noted, leftOut }: Entries, written: number) {
    this.#noted = noted;
    this.#leftOut = leftOut;
    this.#written = written;
  }

  /**
   * @param path of the index file @param idBytes 20 or 32, by the hash of the repository
   * @returns an empty one where there is no index, or none of a form that is known
   */
  static read(path: string, idBytes: number): GitIndex {
    try {
      const stats = statSync(path); // before it is read: one that is replaced meanwhile vouches for less, not for more
      if (!stats.isFile()) throw new Error('No index.');
      return new GitIndex(entriesOf(readFileSync(path), idBytes), stats.mtimeMs);
    } catch {
      return new GitIndex({ noted: new Map(), leftOut: new Set() }, 0);
    }
  }

  /** Whether a sparse checkout leaves a file out of the work tree, so that its absence says nothing. @param path from the root of the work tree */
  leavesOut(path: string): boolean {
    if (this.#leftOut.has(path)) return true;
    for (let at = path.indexOf('/'); at >= 0; at = path.indexOf('/', at + 1))
      if (this.#leftOut.has(path.slice(0, at + 1))) return true;
    return false;
  }

  /** Id of the object that a file holds; undefined where the file has to be read to tell. @param path from the root of the work tree */
  idOf(path: string, { size, modified, changed }: FileEntry): string | undefined {
    const noted = this.#noted.get(path);
    if (noted === undefined || changed === undefined || size === 0) return undefined;
    const same =
      noted.size === size &&
      Math.abs(noted.modified - modified) < SAME_TIME &&
      Math.abs(noted.changed - changed) < SAME_TIME;
    return same && Math.max(modified, changed) + SAME_TICK < this.#written ? noted.id : undefined;
  }
}

interface Entries {
  readonly noted: ReadonlyMap<string, Noted>;
  /** Files that a sparse checkout does not write; a folder of them, with a slash at its end, where the index is sparse itself. */
  readonly leftOut: ReadonlySet<string>;
}

/** @throws RangeError where the file ends too early; Error for a form that is not known */
function entriesOf(index: Buffer, idBytes: number): Entries {
  const version = index.readUInt32BE(4);
  if (index.toString('latin1', 0, 4) !== 'DIRC' || version < 2 || version > 4) throw new Error('No index.');
  const noted = new Map<string, Noted>();
  const leftOut = new Set<string>();
  let at = 12;
  let name: Buffer = Buffer.alloc(0);
  for (let left = index.readUInt32BE(8); left > 0; left--) {
    const start = at;
    const flags = index.readUInt16BE(at + STATS_BYTES + idBytes);
    at += STATS_BYTES + idBytes + 2;
    const more = (flags & EXTENDED) === 0 ? 0 : index.readUInt16BE(at);
    if ((flags & EXTENDED) !== 0) at += 2;
    const kept = version < 4 ? { length: 0, next: at } : keptOfName(index, at, name.length);
    const end = index.indexOf(0, kept.next);
    if (end < 0) throw new RangeError('A name does not end.');
    name = Buffer.concat([name.subarray(0, kept.length), index.subarray(kept.next, end)]);
    at = version < 4 ? start + ((end - start + 8) & ~7) : end + 1;
    const isPlain = index.readUInt32BE(start + 24) >>> 12 === 0o10;
    const isVouched = (flags & (ASSUME_UNCHANGED | STAGE)) === 0 && (more & SKIP_WORK_TREE) === 0;
    if ((more & SKIP_WORK_TREE) !== 0) leftOut.add(name.toString('utf8'));
    if (isPlain && isVouched) noted.set(name.toString('utf8'), notedAt(index, start, idBytes));
  }
  refuseSplit(index, at, idBytes);
  return { noted, leftOut };
}

function notedAt(index: Buffer, start: number, idBytes: number): Noted {
  const timeAt = (at: number): number => index.readUInt32BE(at) * 1000 + index.readUInt32BE(at + 4) / 1e6;
  return {
    changed: timeAt(start),
    modified: timeAt(start + 8),
    size: index.readUInt32BE(start + 36),
    id: index.toString('hex', start + STATS_BYTES, start + STATS_BYTES + idBytes),
  };
}

/** Version 4 says how many bytes of the name before are dropped: groups of seven bits, one added for every further group. */
function keptOfName(index: Buffer, from: number, before: number): { readonly length: number; readonly next: number } {
  let at = from;
  let byte = index.readUInt8(at++);
  let dropped = byte & 0x7f;
  while ((byte & 0x80) !== 0) {
    byte = index.readUInt8(at++);
    dropped = (dropped + 1) * 128 + (byte & 0x7f);
  }
  if (dropped > before) throw new RangeError('A name drops more than there is.');
  return { length: before - dropped, next: at };
}

/** A split index has most of its entries in another file, which this one's may replace. */
function refuseSplit(index: Buffer, from: number, idBytes: number): void {
  for (let at = from; at + 8 <= index.length - idBytes; at += 8 + index.readUInt32BE(at + 4))
    if (index.toString('latin1', at, at + 4) === 'link') throw new Error('A split index.');
}

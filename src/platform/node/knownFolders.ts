import { lstatSync, statfsSync } from 'node:fs';
import type { DerivedStore } from '../../ports/services';

/** Raise it when the form changes. */
const FORM = 1;
/** A folder that changed within this time of being listed may change once more without another time [ms]. */
const SETTLED_AFTER = 2000;

/**
 * File systems of Linux known to keep what POSIX asks of every one (open, rename and unlink mark the times of the folder): ext2 to ext4, XFS,
 * Btrfs, F2FS, tmpfs, overlayfs and ZFS, by the numbers of statfs(2). Of others, such as those of networks, every folder is listed each time.
 */
const KEEPING_TIMES: ReadonlySet<number> = new Set([
  ...[0xef53, 0x58465342, 0x9123683e, 0xf2f52010, 0x01021994, 0x794c7630, 0x2fc12fc1],
]);

/** How a folder looks from outside: other after whatever came, went or was renamed in it. */
export interface FolderState {
  readonly inode: number;
  readonly modified: number;
  readonly changed: number;
}

/** A folder as it was listed. */
type Known = readonly [inode: number, modified: number, changed: number, names: readonly string[]];

/** What folders held when they were listed last, kept between processes: a look at each is a third of listing it. */
export class KnownFolders {
  readonly #store: DerivedStore;
  readonly #key: string;
  readonly #device: number;
  readonly #before: ReadonlyMap<string, Known>;
  readonly #now = new Map<string, Known>();
  readonly #listedAt: number;
  #isOther = false;

  private constructor(store: DerivedStore, key: string, device: number, before: ReadonlyMap<string, Known>) {
    this.#store = store;
    this.#key = key;
    this.#device = device;
    this.#before = before;
    this.#listedAt = Date.now();
  }

  /** @param root native path of the repository. @returns undefined where times of folders tell too little */
  static async read(store: DerivedStore, root: string, device: number): Promise<KnownFolders | undefined> {
    if (!keepsTimes(root)) return undefined;
    const key = JSON.stringify(['folders', FORM, root, device]);
    return new KnownFolders(store, key, device, parsed(await store.get(key)));
  }

  /** Looked at before it is listed. @returns undefined for what is no folder of this file system, or no longer there */
  stateOf(native: string): FolderState | undefined {
    const stats = lstatSync(native, { throwIfNoEntry: false });
    if (stats?.isDirectory() !== true || stats.dev !== this.#device) return undefined;
    return { inode: stats.ino, modified: stats.mtimeMs, changed: stats.ctimeMs };
  }

  /** What it holds, where that is known. */
  namesIn(path: string, { inode, modified, changed }: FolderState): readonly string[] | undefined {
    const known = this.#before.get(path);
    const isSame = known?.[0] === inode && known[1] === modified && known[2] === changed;
    if (!isSame) return undefined;
    this.#now.set(path, known);
    return known[3];
  }

  note(path: string, { inode, modified, changed }: FolderState, names: readonly string[]): void {
    if (Math.max(modified, changed) > this.#listedAt - SETTLED_AFTER) return;
    this.#now.set(path, [inode, modified, changed, names]);
    this.#isOther = true;
  }

  /** After a whole walk. */
  async save(): Promise<void> {
    if (this.#isOther) await this.#store.put(this.#key, new TextEncoder().encode(JSON.stringify([...this.#now])));
  }
}

function parsed(bytes: Uint8Array | undefined): ReadonlyMap<string, Known> {
  if (bytes === undefined) return new Map();
  try {
    return new Map(JSON.parse(new TextDecoder().decode(bytes)) as [string, Known][]);
  } catch {
    return new Map(); // the store's digest lets nothing through but what was put there
  }
}

function keepsTimes(root: string): boolean {
  try {
    return process.platform === 'linux' && KEEPING_TIMES.has(statfsSync(root).type);
  } catch {
    return false;
  }
}

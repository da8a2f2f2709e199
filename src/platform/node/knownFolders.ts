import { lstatSync, statfsSync } from 'node:fs';
import type { DerivedStore } from '../../ports/services';
import { HOST_FLAVOUR, nativePathOfMet } from './repositoryPath';

/** Raise it when the form changes. */
const FORM = 2;
/** A folder that changed within this time of being listed may change once more without another time [ms]. */
const SETTLED_AFTER = 2000;
/** Between paths; no path holds it. */
const BETWEEN = '//';

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

/** Kept of a folder that told too little. None looks like that. */
const UNKNOWN: FolderState = { inode: 0, modified: 0, changed: 0 };

/** A tree as it was listed: no link was met in it, and nothing that could not be looked at. */
interface Kept {
  /** Paths of folders, {@link BETWEEN} them. */
  readonly folders: string;
  /** Three numbers for each of them, as in {@link FolderState}. */
  readonly states: readonly number[];
  /** Paths of files, in the order of the list. */
  readonly files: string;
}

/** What a folder holds, and how it looks. */
interface Known {
  readonly state: FolderState;
  readonly names: string[];
}

/** What folders held when they were listed last, kept between processes: a look at each is a third of listing it. */
export class KnownFolders {
  readonly #store: DerivedStore;
  readonly #key: string;
  readonly #root: string;
  readonly #device: number;
  readonly #before: Kept | undefined;
  /** By path, folders that look as they did; filled where not all of them do. */
  readonly #known = new Map<string, Known>();
  readonly #listedAt: number;

  private constructor(store: DerivedStore, key: string, root: string, device: number, before: Kept | undefined) {
    this.#store = store;
    this.#key = key;
    this.#root = root;
    this.#device = device;
    this.#before = before;
    this.#listedAt = Date.now();
  }

  /** @param root native path of the repository. @returns undefined where times of folders tell too little */
  static async read(store: DerivedStore, root: string, device: number): Promise<KnownFolders | undefined> {
    if (!keepsTimes(root)) return undefined;
    const key = JSON.stringify(['folders', FORM, root, device]);
    return new KnownFolders(store, key, root, device, parsed(await store.get(key)));
  }

  /** Looks at every folder. @returns paths of all files, in the order of the list, where each folder looks as it did */
  unchanged(): readonly string[] | undefined {
    if (this.#before === undefined) return undefined;
    const { states } = this.#before;
    const folders = listOf(this.#before.folders);
    const same = folders.map((path, i) => {
      const state = this.#stateOf(path);
      return state !== undefined && looksAs(state, states, i * NUMBERS) ? state : undefined;
    });
    const files = this.#before.files === '' ? [] : listOf(this.#before.files);
    if (!same.includes(undefined)) return files;
    folders.forEach((path, i) => {
      const state = same[i];
      if (state !== undefined) this.#known.set(path, { state, names: [] });
    });
    for (const path of folders) if (path !== '') this.#addName(path, '/');
    for (const path of files) this.#addName(path, '');
    return undefined;
  }

  /** What a folder holds, where it is known: files by their names, folders with a slash behind it; in no order. */
  namesIn(path: string): readonly string[] | undefined {
    return this.#known.get(path)?.names;
  }

  /** Keeps a walk that met no link, and nothing that could not be looked at. */
  async save(folders: readonly string[], files: readonly string[]): Promise<void> {
    const states = folders.flatMap((path) => {
      const { inode, modified, changed } = this.#known.get(path)?.state ?? this.#settledStateOf(path);
      return [inode, modified, changed];
    });
    const kept: Kept = { folders: folders.join(BETWEEN), states, files: files.join(BETWEEN) };
    await this.#store.put(this.#key, new TextEncoder().encode(JSON.stringify(kept)));
  }

  #addName(path: string, end: string): void {
    const slash = path.lastIndexOf('/');
    this.#known.get(path.slice(0, Math.max(0, slash)))?.names.push(path.slice(slash + 1) + end);
  }

  /** Of a folder that was listed; what came or went since then moved its times to after the beginning of the walk. */
  #settledStateOf(path: string): FolderState {
    const state = this.#stateOf(path);
    const isSettled = state !== undefined && Math.max(state.modified, state.changed) <= this.#listedAt - SETTLED_AFTER;
    return isSettled ? state : UNKNOWN;
  }

  /** Undefined for what is no folder of this file system, or no longer there. */
  #stateOf(path: string): FolderState | undefined {
    try {
      const stats = lstatSync(nativePathOfMet(this.#root, path, HOST_FLAVOUR));
      if (!stats.isDirectory() || stats.dev !== this.#device) return undefined;
      return { inode: stats.ino, modified: stats.mtimeMs, changed: stats.ctimeMs };
    } catch {
      return undefined; // the walk meets it again, and says what it is
    }
  }
}

const NUMBERS = 3;

function looksAs({ inode, modified, changed }: FolderState, states: readonly number[], at: number): boolean {
  return inode === states[at] && modified === states[at + 1] && changed === states[at + 2];
}

function listOf(text: string): readonly string[] {
  return text.split(BETWEEN);
}

function parsed(bytes: Uint8Array | undefined): Kept | undefined {
  if (bytes === undefined) return undefined;
  try {
    return JSON.parse(new TextDecoder().decode(bytes)) as Kept;
  } catch {
    return undefined; // the store's digest lets nothing through but what was put there
  }
}

function keepsTimes(root: string): boolean {
  try {
    return process.platform === 'linux' && KEEPING_TIMES.has(statfsSync(root).type);
  } catch {
    return false;
  }
}

import type { AbortSignalLike } from '../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../ports/repositoryFiles';

/** What is shown of a file in place of the work tree's: other bytes, the file of another state, or nothing at all. */
export type Shown = Uint8Array | RepositoryFiles | 'absent';

/**
 * The work tree with some files as they are elsewhere, so that one session judges one state after the other and computes again only what
 * rests on the difference. The work tree is listed once: what changes in it meanwhile belongs to the next run.
 */
export class ShownFiles implements RepositoryFiles {
  readonly #work: RepositoryFiles;
  #shown: ReadonlyMap<string, Shown> = new Map();
  #listed: ReturnType<RepositoryFiles['list']> | undefined;
  #kept: ReadonlySet<string> | undefined;
  /** Contents that were read of `work`, until the session asks for them: each file is read once. */
  readonly #contents = new Map<FileEntry, Uint8Array>();

  constructor(work: RepositoryFiles) {
    this.#work = work;
  }

  /** The work tree itself, as it was listed once. */
  get work(): RepositoryFiles {
    const work = this.#work;
    return {
      list: (under, signal) => (under === '' ? this.#listWork(signal) : work.list(under, signal)),
      stat: (path) => work.stat(path),
      read: (path, limit) => work.read(path, limit),
      readNow: (entry) => this.#readWork(entry),
      startNow: (entry, most) => work.startNow?.(entry, most),
      open: (path, signal) => work.open(path, signal),
    };
  }

  /** Of the work tree only these files are there from here on; what is shown is there all the same. */
  narrow(kept: ReadonlySet<string>): void {
    this.#kept = kept;
    for (const entry of this.#contents.keys()) if (!kept.has(entry.path)) this.#contents.delete(entry);
  }

  /** @returns paths whose content may now be another than before */
  show(files: ReadonlyMap<string, Shown>): readonly string[] {
    const before = this.#shown;
    this.#shown = files;
    const paths = new Set([...before.keys(), ...files.keys()]);
    return [...paths].filter((path) => before.get(path) !== files.get(path));
  }

  /** Whether a file is another than the work tree's. */
  isShown(path: string): boolean {
    return this.#shown.has(path);
  }

  async list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    const listed = await this.#listWork(signal);
    const here = listed.files.filter(({ path }) => this.#isHere(path));
    if (this.#shown.size === 0 && under === '') return { ...listed, files: here };
    const entries = new Map(here.map((file) => [file.path, file]));
    for (const [path, shown] of this.#shown) {
      const entry = await entryOf(path, shown);
      if (entry === undefined) entries.delete(path);
      else entries.set(path, entry);
    }
    const below = [...entries.values()].filter(({ path }) => under === '' || path.startsWith(`${under}/`));
    return { ...listed, files: below.sort((a, b) => (a.path < b.path ? -1 : 1)) };
  }

  stat(path: string): Promise<FileEntry | undefined> {
    const shown = this.#shown.get(path);
    if (shown !== undefined) return entryOf(path, shown);
    return this.#isHere(path) ? this.#work.stat(path) : Promise.resolve(undefined);
  }

  async read(path: string, limit = Infinity): Promise<Uint8Array> {
    const shown = this.#present(path);
    if (!(shown instanceof Uint8Array)) return shown.read(path, limit);
    if (shown.length > limit) throw new FilePortError('too-large', path, `is larger than the ${limit} bytes allowed`);
    return shown;
  }

  readNow(entry: FileEntry): Uint8Array | undefined {
    if (this.#shown.has(entry.path)) return undefined;
    const bytes = this.#contents.get(entry);
    this.#contents.delete(entry);
    return bytes ?? this.#work.readNow?.(entry);
  }

  startNow(entry: FileEntry, most: number): Uint8Array | undefined {
    return this.#shown.has(entry.path) ? undefined : this.#work.startNow?.(entry, most);
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    const shown = this.#present(path);
    if (shown instanceof Uint8Array) yield shown;
    else yield* shown.open(path, signal);
  }

  #readWork(entry: FileEntry): Uint8Array | undefined {
    const bytes = this.#work.readNow?.(entry);
    if (bytes !== undefined) this.#contents.set(entry, bytes);
    return bytes;
  }

  #listWork(signal: AbortSignalLike | undefined): ReturnType<RepositoryFiles['list']> {
    return (this.#listed ??= this.#work.list('', signal));
  }

  #isHere(path: string): boolean {
    return this.#kept?.has(path) ?? true;
  }

  #present(path: string): Uint8Array | RepositoryFiles {
    const shown = this.#shown.get(path) ?? (this.#isHere(path) ? this.#work : 'absent');
    if (shown === 'absent') throw new FilePortError('not-found', path, 'does not exist');
    return shown;
  }
}

function entryOf(path: string, shown: Shown): Promise<FileEntry | undefined> {
  if (shown === 'absent') return Promise.resolve(undefined);
  return shown instanceof Uint8Array ? Promise.resolve({ path, size: 0, modified: 0 }) : shown.stat(path);
}

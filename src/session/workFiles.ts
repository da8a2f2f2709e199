import { throwIfAborted, type AbortSignalLike } from '../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../ports/repositoryFiles';
import { LOOK_NUMBERS, type Look } from './keptLooks';
import { BETWEEN_KEYS } from './keptRows';

/** The coarsest clock of a file system in use ticks every two seconds [ms]. */
const SETTLED_AFTER = 2000;
/** Where more files than this share were written just now, as after a clone, next to nothing that is kept would hold. */
const MOST_FRESH = 1 / 8;

/** What changed since the last look, by repository path. */
export interface FileChanges {
  /** Files whose content may differ, files that came, and files that went. */
  readonly changed: ReadonlySet<string>;
  /** Whether any file came or went. */
  readonly setChanged: boolean;
}

/**
 * The repository's files as the session sees them: those of the port, with texts laid over them that an editor has not
 * saved yet. The list is taken once; after that only what is named as changed is looked at again.
 */
export class WorkFiles {
  readonly #port: RepositoryFiles;
  #entries = new Map<string, FileEntry>();
  /** Their paths, once somebody asked for them. */
  #sorted: readonly string[] | undefined;
  #problems: readonly FilePortError[] = [];
  #listed = false;
  #overlays = new Map<string, Uint8Array>();
  readonly #pendingOverlays = new Map<string, Uint8Array | undefined>();
  readonly #pendingPaths = new Set<string>();
  #pendingAll = false;
  /** When the entries were last looked at, or some time before. */
  #listedAt = 0;
  /** Of that look. */
  #areFewFresh: boolean | undefined;

  constructor(port: RepositoryFiles) {
    this.#port = port;
  }

  /** Takes effect at the next run. @param text undefined takes the overlay away */
  overlay(path: string, text: string | undefined): void {
    this.#pendingOverlays.set(path, text === undefined ? undefined : new TextEncoder().encode(text));
  }

  /** Takes effect at the next run. @param paths files or folders; none at all means that anything may have changed */
  invalidate(paths: readonly string[]): void {
    for (const path of paths) if (!isSkipped(path)) this.#pendingPaths.add(path);
    if (paths.length === 0 || paths.includes('')) this.#pendingAll = true;
  }

  /** Looks at what was named as changed. What could not be looked at stays pending. @throws FilePortError, AbortedError */
  async refresh(signal: AbortSignalLike | undefined): Promise<FileChanges> {
    this.#listedAt = Date.now();
    this.#areFewFresh = undefined;
    if (this.#listed && !this.#pendingAll && !(await this.#namesFolder())) return this.#refreshNamed();
    const before = this.#entries;
    const after = await this.#list(signal);
    const overlays = new Map(this.#overlays);
    for (const [path, bytes] of this.#pendingOverlays) {
      if (bytes !== undefined) overlays.set(path, bytes);
      else if (overlays.delete(path)) await this.#lookAt(path, after);
    }
    for (const path of overlays.keys()) if (!after.has(path)) after.set(path, { path, size: 0, modified: 0 });
    const changed = new Set([...this.#pendingPaths, ...this.#pendingOverlays.keys()]);
    const isFirst = !this.#listed;
    this.#overlays = overlays;
    this.#entries = after;
    this.#sorted = undefined;
    this.#listed = true;
    this.#pendingAll = false;
    this.#pendingPaths.clear();
    this.#pendingOverlays.clear();
    return isFirst ? FIRST_LOOK : differences(before, after, changed);
  }

  /** Looks at the named files alone, whatever else there is. */
  async #refreshNamed(): Promise<FileChanges> {
    const changed = new Set([...this.#pendingPaths, ...this.#pendingOverlays.keys()]);
    const stored = new Map<string, FileEntry | undefined>();
    for (const path of changed) {
      const entry = await this.#stat(path);
      stored.set(path, entry?.path === path ? entry : undefined); // what a link leads to is listed there
    }
    for (const [path, bytes] of this.#pendingOverlays)
      if (bytes === undefined) this.#overlays.delete(path);
      else this.#overlays.set(path, bytes);
    let setChanged = false;
    this.#sorted = undefined;
    for (const [path, entry] of stored) {
      const now = entry ?? (this.#overlays.has(path) ? { path, size: 0, modified: 0 } : undefined);
      if (this.#entries.has(path) !== (now !== undefined)) setChanged = true;
      if (now === undefined) this.#entries.delete(path);
      else this.#entries.set(path, now);
    }
    this.#pendingPaths.clear();
    this.#pendingOverlays.clear();
    return { changed, setChanged };
  }

  /** Every file, sorted by path. */
  paths(): readonly string[] {
    return (this.#sorted ??= [...this.#entries.keys()].sort((a, b) => (a < b ? -1 : 1)));
  }

  has(path: string): boolean {
    return this.#entries.has(path);
  }

  /** Links and folders that the list could not take in. */
  problems(): readonly FilePortError[] {
    return this.#problems;
  }

  isOverlaid(path: string): boolean {
    return this.#overlays.has(path);
  }

  /** As listed; 0 for a file that is not there. */
  sizeOf(path: string): number {
    return this.#entries.get(path)?.size ?? 0;
  }

  /** The stored file as it was last looked at, in one text that is another when the file is. */
  stateOf(path: string): string {
    const { size, modified, changed, inode, content } = this.#entries.get(path) ?? {};
    return JSON.stringify([size, modified, changed, inode, content]);
  }

  /** Whether the stored file still looks as it did, so that what was read of it in two readings is of one content. */
  async isAsLookedAt(path: string): Promise<boolean> {
    const [before, now] = [this.#entries.get(path), await this.#port.stat(path).catch(() => undefined)];
    return before?.size === now?.size && before?.modified === now?.modified;
  }

  /**
   * A text that is other wherever the content is, in this process and in any later one. Undefined where nothing tells: for an unsaved text,
   * where the system keeps no time of change that programs cannot set, and for a file that was written just now, as it may be written
   * once more within the same tick of its clock.
   */
  contentText(path: string): string | undefined {
    if (this.#overlays.has(path)) return undefined;
    const entry = this.#entries.get(path);
    if (entry === undefined) return 'absent';
    const { size, changed, inode = 0, content } = entry;
    if (content !== undefined) return content;
    if (changed === undefined || !this.#isSettled(entry)) return undefined;
    return `${size} ${momentText(changed)} ${inode}`; // whatever sets the time of writing moves that of change
  }

  /** Whether a stored file was written too shortly before the look for its times to vouch for it, as few others were. */
  isFresh(path: string): boolean {
    const entry = this.#overlays.has(path) ? undefined : this.#entries.get(path);
    if (entry?.changed === undefined || entry.content !== undefined || this.#isSettled(entry)) return false;
    this.#areFewFresh ??= this.#countFresh() <= MOST_FRESH * this.#entries.size;
    return this.#areFewFresh;
  }

  #countFresh(): number {
    let count = 0;
    for (const entry of this.#entries.values()) if (!this.#isSettled(entry)) count++;
    return count;
  }

  /** Three numbers in place of the text of {@link contentText}, where that is made of such; undefined otherwise. */
  lookOf(path: string): Look | undefined {
    const entry = this.#overlays.has(path) ? undefined : this.#entries.get(path);
    if (entry === undefined || !this.#isSettled(entry)) return undefined;
    return [entry.size, entry.changed!, entry.inode ?? 0];
  }

  /** Whether each file is as it looked. Thousands are looked at by code that has just started: of the same files they stand in one order. */
  compareLooks(keys: string, looks: Float64Array): Uint8Array {
    const entries = this.#entries;
    const inOrder =
      [...entries.keys()].join(BETWEEN_KEYS) === keys
        ? [...entries.values()]
        : keys.split(BETWEEN_KEYS).map((path) => entries.get(path));
    const same = new Uint8Array(inOrder.length);
    for (let i = 0; i < inOrder.length; i++) {
      const entry = inOrder[i];
      const at = LOOK_NUMBERS * i;
      if (
        entry !== undefined &&
        entry.size === looks[at] &&
        entry.changed === looks[at + 1] &&
        (entry.inode ?? 0) === looks[at + 2] &&
        this.#isSettled(entry) &&
        !this.#overlays.has(entry.path)
      )
        same[i] = 1;
    }
    return same;
  }

  /** Whether the times of a file vouch for its content. */
  #isSettled({ modified, changed, content }: FileEntry): boolean {
    return (
      content === undefined && changed !== undefined && Math.max(modified, changed) <= this.#listedAt - SETTLED_AFTER
    );
  }

  /** The stored content without waiting, where the port can and the file is as it was looked at; undefined otherwise. */
  readNow(path: string): Uint8Array | undefined {
    const entry = this.#entries.get(path);
    return entry === undefined || this.#overlays.has(path) ? undefined : this.#port.readNow?.(entry);
  }

  /** Its first bytes in the same way. */
  startNow(path: string, most: number): Uint8Array | undefined {
    const entry = this.#entries.get(path);
    return entry === undefined || this.#overlays.has(path) ? undefined : this.#port.startNow?.(entry, most);
  }

  async read(path: string, limit: number): Promise<Uint8Array> {
    const overlay = this.#overlays.get(path);
    if (overlay !== undefined) return overlay.slice();
    return this.#port.read(path, limit);
  }

  open(path: string, signal: AbortSignalLike | undefined): AsyncIterable<Uint8Array> {
    const overlay = this.#overlays.get(path);
    return overlay === undefined ? this.#port.open(path, signal) : oneChunk(overlay, signal);
  }

  /** Where a path that the user named really is, once links are followed. @throws FilePortError where it leaves the repository */
  async resolve(path: string): Promise<string> {
    if (this.#entries.has(path)) return path;
    const entry = await this.#port.stat(path);
    return entry?.path ?? path;
  }

  /** Whether a pending path stands for what lies below it rather than for a file. */
  async #namesFolder(): Promise<boolean> {
    for (const path of this.#pendingPaths) {
      if (this.#entries.has(path)) continue;
      if ((await this.#stat(path)) === undefined) return true; // a folder that came or went, or something that came and went
    }
    return false;
  }

  async #list(signal: AbortSignalLike | undefined): Promise<Map<string, FileEntry>> {
    const { files, problems, at = this.#listedAt } = await this.#port.list('', signal);
    this.#problems = problems;
    this.#listedAt = at;
    const entries = new Map<string, FileEntry>();
    for (const file of files) entries.set(file.path, file);
    return entries;
  }

  /** A file that only an overlay made goes with it; one that the disk has stays. What a link leads to is listed there. */
  async #lookAt(path: string, entries: Map<string, FileEntry>): Promise<void> {
    const entry = await this.#stat(path);
    if (entry?.path === path) entries.set(path, entry);
    else entries.delete(path);
  }

  /** A path that leaves the repository or loops is as good as absent: the list reports it. */
  async #stat(path: string): Promise<FileEntry | undefined> {
    try {
      return await this.#port.stat(path);
    } catch (error) {
      if (error instanceof FilePortError && error.code !== 'io' && error.code !== 'denied') return undefined;
      throw error;
    }
  }
}

/** Nothing was read before it, so that nothing is of another state. */
const FIRST_LOOK: FileChanges = { changed: new Set(), setChanged: true };

/** A number holds milliseconds of this age to a 4096th. */
const PARTS = 4096;

/** A moment in whole numbers [s, s/4096000]: a fraction as it stands takes four times as long to spell, 10 ms of every second check of 2,000 results. */
function momentText(milliseconds: number): string {
  const seconds = Math.floor(milliseconds / 1000);
  return `${seconds}.${Math.floor((milliseconds - seconds * 1000) * PARTS)}`;
}

function differences(
  before: ReadonlyMap<string, FileEntry>,
  after: ReadonlyMap<string, FileEntry>,
  named: ReadonlySet<string>,
): FileChanges {
  const changed = new Set(named);
  let setChanged = false;
  for (const path of before.keys()) {
    if (after.has(path)) continue;
    changed.add(path);
    setChanged = true;
  }
  for (const [path, entry] of after) {
    const old = before.get(path);
    if (old === undefined) setChanged = true;
    if (old === undefined || old.size !== entry.size || old.modified !== entry.modified) changed.add(path);
  }
  return { changed, setChanged };
}

/** As the port's list skips them: what a watcher says of them concerns nobody. */
function isSkipped(path: string): boolean {
  return path.split('/').some((part) => part === '.git' || part === 'node_modules');
}

async function* oneChunk(bytes: Uint8Array, signal: AbortSignalLike | undefined): AsyncIterable<Uint8Array> {
  throwIfAborted(signal);
  yield await Promise.resolve(bytes.slice());
}

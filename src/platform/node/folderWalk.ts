import { lstatSync, readdirSync, realpathSync, statSync, type Dirent } from 'node:fs';
import { sep } from 'node:path';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry } from '../../ports/repositoryFiles';
import { asFilePortError } from './fileErrors';
import type { KnownFolders } from './knownFolders';
import { HOST_FLAVOUR, nativePathOf, nativePathOfMet, repositoryPathOf } from './repositoryPath';
import { isTemporaryName } from './temporaryFile';

const SKIPPED: ReadonlySet<string> = new Set(['.git', 'node_modules']);
/** Deeper than any workshop files; a guard against trees made to exhaust the stack or the path length. */
export const MAX_DEPTH = 64;
/** Others run after so many folders: a few milliseconds. After each one it took as long as reading it. */
const FOLDERS_AT_ONCE = 64;
/** The same of files that are known to be there. */
const FILES_AT_ONCE = 1024;

/** Behind the name of a link; no name holds it. */
const LINK = '//';

/** A folder that is being walked. */
interface OpenFolder {
  /** Native path and repository path, each with its separator at the end, so that a name makes a path of it. */
  readonly native: string;
  readonly path: string;
  readonly depth: number;
  /** What is in it, in the order of paths; folders with a slash at the end, which also puts them where their files belong. */
  readonly names: readonly string[];
  next: number;
}

interface Link {
  readonly path: string;
  readonly depth: number;
}

/**
 * One walk below a folder of the repository. Real files first, at their own place; then links, in order: each file is
 * listed once, so that a link to what is listed already adds nothing and a link elsewhere is followed once. Node's
 * synchronous calls are several times faster than its promises for thousands of small entries; the walk lets others run
 * between folders.
 */
export class FolderWalk {
  /** Sorted by path once the walk is over. */
  readonly files: FileEntry[] = [];
  readonly problems: FilePortError[] = [];
  /** Paths of the folders that were walked. */
  readonly folders: string[] = [];
  /** Whether every file came in the order of its path, and none by a link. */
  isPlain = true;
  readonly #root: string;
  readonly #signal: AbortSignalLike | undefined;
  readonly #known: KnownFolders | undefined;
  /** Real native paths of folders walked and files listed; only links ask for them, and then as a set. */
  readonly #walked: string[] = [];
  readonly #seen = new Set<string>();

  /** @param known what folders held before, which spares listing those that look as they did */
  constructor(root: string, signal: AbortSignalLike | undefined, known?: KnownFolders) {
    this.#root = root;
    this.#signal = signal;
    this.#known = known;
  }

  /** @param under repository path of the folder, '' for all; a folder that does not exist holds no files. */
  async run(under: string): Promise<void> {
    const real = this.#resolve(under);
    if (real === undefined || !this.#isFolder(real, under)) return;
    const links = await this.#walk(real, under, 0);
    this.isPlain = links.length === 0 && this.problems.length === 0;
    const inOrder = this.files.length; // so far every file came in the order of its path
    for (let link = links.shift(); link !== undefined; link = links.shift())
      links.push(...(await this.#follow(link.path, link.depth)));
    if (this.files.length > inOrder) this.files.sort(byPath);
    this.problems.sort(byPath);
  }

  /**
   * Takes files that are known to be there, in the order of their paths; those that are gone since are left out.
   * @returns whether each of the others is a plain file; where one is not, a walk is needed
   */
  async take(paths: readonly string[]): Promise<boolean> {
    for (let start = 0; start < paths.length; start += FILES_AT_ONCE) {
      if (start > 0) await otherWork();
      throwIfAborted(this.#signal);
      if (!this.#takeSome(paths, start, Math.min(start + FILES_AT_ONCE, paths.length))) return false;
    }
    return true;
  }

  #takeSome(paths: readonly string[], start: number, end: number): boolean {
    for (let i = start; i < end; i++)
      if (!this.#look(nativePathOfMet(this.#root, paths[i]!, HOST_FLAVOUR), paths[i]!)) return false;
    return true;
  }

  /** Lists what lies below a folder, in the order of paths. @returns the links met */
  async #walk(native: string, path: string, depth: number): Promise<Link[]> {
    const links: Link[] = [];
    const open: OpenFolder[] = [];
    this.#open(native, path, depth, open, links);
    for (let folder = open.at(-1); folder !== undefined; folder = open.at(-1)) {
      const name = folder.names[folder.next];
      folder.next += 1;
      if (name === undefined) open.pop();
      else if (name.endsWith('/')) {
        const inner = name.slice(0, -1);
        this.#open(folder.native + inner, folder.path + inner, folder.depth + 1, open, links);
        if (this.folders.length % FOLDERS_AT_ONCE === 0) await otherWork();
      } else this.#file(folder.native + name, folder.path + name);
    }
    return links.sort(inOrderOfFolders);
  }

  #open(native: string, path: string, depth: number, open: OpenFolder[], links: Link[]): void {
    throwIfAborted(this.#signal);
    if (depth > MAX_DEPTH) {
      this.problems.push(
        new FilePortError('io', path, `lies more than ${MAX_DEPTH} folders deep and is not looked into`),
      );
      return;
    }
    this.folders.push(path);
    this.#walked.push(native);
    const start = path === '' ? '' : `${path}/`;
    const all = this.#namesIn(native, path);
    const names = all.some(isLink) ? all.filter((name) => !isLink(name)) : all;
    if (names !== all)
      for (const name of all) if (isLink(name)) links.push({ path: start + name.slice(0, -LINK.length), depth });
    open.push({ native: native.endsWith(sep) ? native : native + sep, path: start, depth, names, next: 0 });
  }

  /** Files by their names, folders with a slash behind it and links with two; sorted. */
  #namesIn(native: string, path: string): readonly string[] {
    const known = this.#known?.namesIn(path);
    if (known !== undefined) return [...known].sort();
    const entries = this.#entries(native, path);
    if (entries === undefined) return [];
    const names: string[] = [];
    for (const entry of entries) {
      const { name } = entry;
      if (SKIPPED.has(name) || isTemporaryName(name)) continue;
      if (entry.isFile()) names.push(name);
      else if (entry.isDirectory()) names.push(`${name}/`);
      else if (entry.isSymbolicLink()) names.push(name + LINK);
    }
    return names.sort();
  }

  #entries(native: string, path: string): readonly Dirent[] | undefined {
    try {
      return readdirSync(native, { withFileTypes: true });
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code !== 'not-found') this.problems.push(fault); // a folder removed during the walk is simply gone
      return undefined;
    }
  }

  #file(native: string, path: string): void {
    this.#walked.push(native);
    this.#look(native, path);
  }

  /** @returns false for what is no plain file; what cannot be looked at may be one */
  #look(native: string, path: string): boolean {
    try {
      const stats = lstatSync(native);
      if (!stats.isFile()) return false;
      const { size, mtimeMs, ctimeMs, ino } = stats;
      this.files.push({ path, size, modified: mtimeMs, changed: ctimeMs, inode: ino });
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code !== 'not-found') this.problems.push(fault);
    }
    return true;
  }

  async #follow(path: string, depth: number): Promise<readonly Link[]> {
    const real = this.#resolve(path);
    if (real === undefined) return [];
    const inside = repositoryPathOf(this.#root, real, HOST_FLAVOUR) ?? '';
    if (inside.split('/').some((part) => SKIPPED.has(part))) return [];
    if (inside === '' || path.startsWith(`${inside}/`)) {
      this.problems.push(new FilePortError('link-loop', path, 'is a link to a folder that it lies in itself'));
      return [];
    }
    if (this.#wasSeen(real)) return [];
    if (this.#isFolder(real, path)) return this.#walk(real, path, depth + 1);
    if (statSync(real).isFile()) this.#file(real, path);
    return [];
  }

  #wasSeen(native: string): boolean {
    for (const walked of this.#walked.splice(0)) this.#seen.add(walked);
    return this.#seen.has(native);
  }

  /** The real native path; undefined, with a problem noted, where it leaves the repository or leads nowhere. */
  #resolve(path: string): string | undefined {
    try {
      const real = realpathSync.native(nativePathOf(this.#root, path, HOST_FLAVOUR));
      if (repositoryPathOf(this.#root, real, HOST_FLAVOUR) !== undefined) return real;
      this.problems.push(new FilePortError('outside', path, 'is, or lies behind, a link that leaves the repository'));
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code === 'not-found')
        this.problems.push(new FilePortError('not-found', path, 'is a link to something that does not exist'));
      else this.problems.push(fault);
    }
    return undefined;
  }

  #isFolder(native: string, path: string): boolean {
    try {
      return statSync(native).isDirectory();
    } catch (error) {
      this.problems.push(asFilePortError(path, error));
      return false;
    }
  }
}

function isLink(name: string): boolean {
  return name.endsWith(LINK);
}

/** A folder's own links before those of the folders in it: which of two links to one file lists it must not change. */
function inOrderOfFolders(a: Link, b: Link): number {
  const [left, right] = [a.path.split('/'), b.path.split('/')];
  const folders = Math.min(left.length, right.length) - 1;
  for (let i = 0; i < folders; i++) if (left[i] !== right[i]) return left[i]! < right[i]! ? -1 : 1;
  if (left.length !== right.length) return left.length - right.length;
  return left[folders]! < right[folders]! ? -1 : 1;
}

function byPath(a: { path: string }, b: { path: string }): number {
  return a.path < b.path ? -1 : a.path > b.path ? 1 : 0;
}

function otherWork(): Promise<void> {
  return new Promise((resolve) => {
    setImmediate(resolve);
  });
}

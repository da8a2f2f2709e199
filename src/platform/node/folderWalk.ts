import { lstatSync, readdirSync, realpathSync, statSync, type Dirent } from 'node:fs';
import { join } from 'node:path';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry } from '../../ports/repositoryFiles';
import { asFilePortError } from './fileErrors';
import { HOST_FLAVOUR, nativePathOf, repositoryPathOf } from './repositoryPath';
import { isTemporaryName } from './temporaryFile';

const SKIPPED: ReadonlySet<string> = new Set(['.git', 'node_modules']);
/** Deeper than any workshop files; a guard against trees made to exhaust the stack or the path length. */
const MAX_DEPTH = 64;

/**
 * One walk below a folder of the repository. Real files first, at their own place; then links, in order: each file is
 * listed once, so that a link to what is listed already adds nothing and a link elsewhere is followed once. Node's
 * synchronous calls are several times faster than its promises for thousands of small entries; the walk lets others run
 * between folders.
 */
export class FolderWalk {
  readonly files: FileEntry[] = [];
  readonly problems: FilePortError[] = [];
  readonly #root: string;
  readonly #signal: AbortSignalLike | undefined;
  /** Real native paths of folders walked and files listed. */
  readonly #seen = new Set<string>();
  readonly #links: { path: string; depth: number }[] = [];

  constructor(root: string, signal: AbortSignalLike | undefined) {
    this.#root = root;
    this.#signal = signal;
  }

  /** @param under repository path of the folder, '' for all; a folder that does not exist holds no files. */
  async run(under: string): Promise<void> {
    const real = this.#resolve(under);
    if (real === undefined || !this.#isFolder(real, under)) return;
    await this.#folder(real, under, 0);
    for (let link = this.#links.shift(); link !== undefined; link = this.#links.shift())
      await this.#follow(link.path, link.depth);
  }

  async #folder(native: string, path: string, depth: number): Promise<void> {
    throwIfAborted(this.#signal);
    if (depth > MAX_DEPTH) {
      this.problems.push(
        new FilePortError('io', path, `lies more than ${MAX_DEPTH} folders deep and is not looked into`),
      );
      return;
    }
    this.#seen.add(native);
    const folders: string[] = [];
    for (const entry of this.#entries(native, path)) {
      const inner = path === '' ? entry.name : `${path}/${entry.name}`;
      if (SKIPPED.has(entry.name) || isTemporaryName(entry.name)) continue;
      if (entry.isSymbolicLink()) this.#links.push({ path: inner, depth });
      else if (entry.isDirectory()) folders.push(entry.name);
      else if (entry.isFile()) this.#file(join(native, entry.name), inner);
    }
    await otherWork();
    for (const name of folders)
      await this.#folder(join(native, name), path === '' ? name : `${path}/${name}`, depth + 1);
  }

  #entries(native: string, path: string): readonly Dirent[] {
    try {
      return readdirSync(native, { withFileTypes: true }).sort((a, b) => (a.name < b.name ? -1 : 1));
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code !== 'not-found') this.problems.push(fault); // a folder removed during the walk is simply gone
      return [];
    }
  }

  #file(native: string, path: string): void {
    this.#seen.add(native);
    try {
      const stats = lstatSync(native);
      this.files.push({ path, size: stats.size, modified: stats.mtimeMs, changed: stats.ctimeMs });
    } catch (error) {
      const fault = asFilePortError(path, error);
      if (fault.code !== 'not-found') this.problems.push(fault);
    }
  }

  async #follow(path: string, depth: number): Promise<void> {
    const real = this.#resolve(path);
    if (real === undefined) return;
    const inside = repositoryPathOf(this.#root, real, HOST_FLAVOUR) ?? '';
    if (inside.split('/').some((part) => SKIPPED.has(part))) return;
    if (inside === '' || path.startsWith(`${inside}/`)) {
      this.problems.push(new FilePortError('link-loop', path, 'is a link to a folder that it lies in itself'));
      return;
    }
    if (this.#seen.has(real)) return;
    if (this.#isFolder(real, path)) await this.#folder(real, path, depth + 1);
    else if (statSync(real).isFile()) this.#file(real, path);
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

function otherWork(): Promise<void> {
  return new Promise((resolve) => {
    setImmediate(resolve);
  });
}

import type { BlobIds } from '../../ports/revisions';
import type { GitAnswer, GitCommand } from './gitCommand';
import type { GitIndex } from './gitIndex';
import { isSkippedPath, ListedBlobs } from './gitTreeFiles';

/** What a commit has otherwise than the index, of plain files. */
const RAW = '--cached --raw -z --no-abbrev --no-renames --no-ext-diff --no-textconv'.split(' ');

const MOST_SOUGHT = 20;

/** Asks in what a commit differs from the index; nothing of the work tree is looked at. */
export function askDifference(git: GitCommand, commit: string): Promise<GitAnswer> {
  return git.run('diff-index', [...RAW, commit, '--']);
}

/**
 * The plain files of a commit, as the index with what the commit has otherwise. Most commits that are asked for differ from it in a few files,
 * and the index is read in any case: a listing of 4,000 files took 8 ms to take apart.
 */
export class BlobsOfIndex implements BlobIds {
  readonly #index: GitIndex;
  readonly #prefix: string;
  /** Object of each file that differs; undefined where the commit lacks it. */
  readonly #differing: ReadonlyMap<string, string | undefined>;
  #paths: readonly string[] | undefined;

  /** @param index a whole one. @param answer of `askDifference`. @param prefix '' or a folder with a slash at its end; paths are relative to it */
  constructor(index: GitIndex, { out }: GitAnswer, prefix: string) {
    this.#index = index;
    this.#prefix = prefix;
    this.#differing = differences(out.toString('utf8'), prefix);
  }

  /** Whether the index has what the commit has of a file, where this is known without looking. */
  isAsIn(index: GitIndex, path: string): boolean {
    return index === this.#index && !this.#differing.has(path);
  }

  has(path: string): boolean {
    return this.get(path) !== undefined;
  }

  get(path: string): string | undefined {
    if (this.#differing.has(path)) return this.#differing.get(path);
    return isSkippedPath(path) ? undefined : this.#index.objectOf(this.#prefix + path);
  }

  keys(): readonly string[] {
    return (this.#paths ??= this.#allPaths());
  }

  /** To look for each of a few takes less than to spell the ids of thousands of files, which took 7 ms. */
  among(ids: Iterable<string>): ReadonlySet<string> {
    const asked = new Set(ids);
    if (asked.size > MOST_SOUGHT)
      return new ListedBlobs(this.keys().map((path) => [path, this.get(path)!])).among(asked);
    const differing = new Set(this.#differing.values());
    return new Set([...asked].filter((id) => differing.has(id) || this.#isOfIndex(id)));
  }

  #isOfIndex(id: string): boolean {
    return this.#index
      .pathsOf(id)
      .some((name) => name.startsWith(this.#prefix) && this.get(name.slice(this.#prefix.length)) === id);
  }

  #allPaths(): readonly string[] {
    const paths: string[] = [];
    for (const name of this.#index.paths) {
      if (!name.startsWith(this.#prefix)) continue;
      const path = name.slice(this.#prefix.length);
      if (!this.#differing.has(path) && !isSkippedPath(path)) paths.push(path);
    }
    for (const [path, id] of this.#differing) if (id !== undefined) paths.push(path);
    return paths;
  }
}

/** Of `:100644 000000 ID ID D`, path, and so on. */
function differences(text: string, prefix: string): ReadonlyMap<string, string | undefined> {
  const parts = text.split('\0');
  const found = new Map<string, string | undefined>();
  for (let at = 0; at + 1 < parts.length; at += 2) {
    const [entry, name] = [parts[at]!, parts[at + 1]!];
    const path = name.startsWith(prefix) ? name.slice(prefix.length) : '';
    if (isSkippedPath(path)) continue;
    const [mode = '', , id] = entry.split(' ');
    found.set(path, mode.startsWith(':100') ? id : undefined);
  }
  return found;
}

import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import type { BlobIds, RevisionFiles } from '../../ports/revisions';
import type { GitBlobs } from './gitBlobs';

/** The files of one commit below the repository's folder, as git keeps them: no filter and no line ending of a checkout touches them. */
export class GitTreeFiles implements RevisionFiles {
  readonly commit: string;
  readonly blobs: BlobIds;
  readonly #content: GitBlobs;

  constructor(commit: string, blobs: BlobIds, content: GitBlobs) {
    this.commit = commit;
    this.blobs = blobs;
    this.#content = content;
  }

  list(under: string, signal?: AbortSignalLike): ReturnType<RepositoryFiles['list']> {
    throwIfAborted(signal);
    const paths = [...this.blobs.keys()].filter((path) => under === '' || path.startsWith(`${under}/`));
    return Promise.resolve({ files: paths.sort().map((path) => this.#entryOf(path)), problems: [] });
  }

  stat(path: string): Promise<FileEntry | undefined> {
    return Promise.resolve(this.blobs.has(path) ? this.#entryOf(path) : undefined);
  }

  async read(path: string, limit = Infinity): Promise<Uint8Array> {
    return this.#content.read(path, this.#id(path), limit);
  }

  async *open(path: string, signal?: AbortSignalLike): AsyncIterable<Uint8Array> {
    yield* this.#content.open(path, this.#id(path), signal);
  }

  /** Sizes are not asked for: a partial clone cannot tell them. A commit's files never change. */
  #entryOf(path: string): FileEntry {
    return { path, size: 0, modified: 0, content: `object ${this.#id(path)}` };
  }

  #id(path: string): string {
    const id = this.blobs.get(path);
    if (id === undefined)
      throw new FilePortError('not-found', path, `does not exist in commit ${this.commit.slice(0, 12)}`);
    return id;
  }
}

/**
 * Plain files of `ls-tree -r -z` below a prefix, by path relative to it. Links are not followed and submodules not entered.
 * @param prefix '' or a folder with a slash at its end
 */
export function blobsOfListing(listing: Buffer, prefix: string): BlobIds {
  const blobs = new ListedBlobs();
  const text = listing.toString('utf8');
  // Entries such as `100644 blob ID<tab>PATH`, cut by hand: a pattern on each of thousands took four times as long.
  for (let start = 0; start < text.length;) {
    const end = text.indexOf('\0', start);
    if (end < 0) break;
    if (
      text.startsWith('100', start) &&
      text.startsWith(' blob ', start + 6) &&
      text.startsWith(prefix, pathAt(text, start))
    ) {
      const at = pathAt(text, start);
      const path = text.slice(at + prefix.length, end);
      if (!isSkippedPath(path)) blobs.set(path, text.slice(start + ID_AT, at - 1));
    }
    start = end + 1;
  }
  return blobs;
}

/** Object ids by path. */
export class ListedBlobs extends Map<string, string> implements BlobIds {
  among(ids: Iterable<string>): ReadonlySet<string> {
    const all = new Set(this.values());
    return new Set([...ids].filter((id) => all.has(id)));
  }
}

const ID_AT = '100644 blob '.length;

function pathAt(text: string, start: number): number {
  return text.indexOf('\t', start) + 1;
}

/** Whether a path has a part that is never looked into. */
export function isSkippedPath(path: string): boolean {
  return SKIPPED.test(path);
}

const SKIPPED = /(?:^|\/)(?:\.git|node_modules|\.\.?|)(?:\/|$)/u;

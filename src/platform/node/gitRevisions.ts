import { resolve } from 'node:path';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import {
  RevisionFault,
  type BlobIds,
  type FileVersion,
  type RevisionBase,
  type RevisionFiles,
  type Revisions,
} from '../../ports/revisions';
import { GitBlobs } from './gitBlobs';
import { GitCommand, textOf } from './gitCommand';
import { defaultBranch } from './gitDefaultBranch';
import { lacking, noWorkTree } from './gitFaults';
import { GitHistory } from './gitHistory';
import { GitIndex } from './gitIndex';
import { blobsOfListing, GitTreeFiles } from './gitTreeFiles';
import { askDifference, BlobsOfIndex } from './gitTreeOfIndex';
import { askUntracked, workPaths, type Untracked } from './gitWorkPaths';
import { holdsObject, MOST_POINTER_BYTES } from './gitWorkTree';

/** The history of a damper-spec repository in git, which may be a folder of a larger one. */
export class GitRevisions implements Revisions {
  readonly shallow: boolean;
  readonly #git: GitCommand;
  readonly #blobs: GitBlobs;
  readonly #history: GitHistory;
  readonly #prefix: string;
  readonly #indexPath: string;
  #index: GitIndex | undefined;
  readonly #trees = new Map<string, Promise<GitTreeFiles>>();
  /** Commits that were looked up before they were asked for. */
  readonly #ahead: ReadonlyMap<string, Promise<string | undefined>>;
  /** Where the last commit left a revision that was looked up before. */
  readonly #leftAt: ReadonlyMap<string, string>;
  readonly #untracked: Untracked | undefined;

  private constructor(
    git: GitCommand,
    place: Place,
    ahead: ReadonlyMap<string, Promise<string | undefined>>,
    leftAt: ReadonlyMap<string, string>,
    untracked: Untracked | undefined,
  ) {
    this.#git = git;
    this.#prefix = place.prefix;
    this.#indexPath = place.index;
    this.#blobs = new GitBlobs(git);
    this.#history = new GitHistory(git, place.prefix);
    this.shallow = place.shallow;
    this.#ahead = ahead;
    this.#leftAt = leftAt;
    this.#untracked = untracked;
    if (ahead.size > 0) this.#blobs.start();
  }

  /**
   * @param folder root of the damper-spec repository
   * @param ahead revisions that will be asked for: they are looked up meanwhile, once, and stay what they were then
   * @throws RevisionFault where git is not there, or this is no work tree of it
   */
  static async open(folder: string, program?: string, ahead: readonly string[] = []): Promise<GitRevisions> {
    const git = new GitCommand(folder, program);
    const names = [...new Set(ahead)];
    const asked = names.every((name) => PLAIN_NAME.test(name)) ? names : [];
    const args = ['--is-inside-work-tree', '--is-shallow-repository', '--show-prefix', '--git-path', 'index'];
    const [base] = asked.filter((name) => name !== 'HEAD');
    // `A...B` gives both, and after a sign where they parted, nearest first: gitrevisions(7).
    const parted = base === undefined || !asked.includes('HEAD') ? [] : [`${base}...HEAD`];
    // One process tells all of it, but for names that it does not know: those are looked up one by one.
    const telling = git.run('rev-parse', [...args, ...asked.map((name) => `${name}^{commit}`), ...parted]);
    // Beside Linux, a disk may spell a name in another way than git does.
    const untracked = names.length > 0 && process.platform === 'linux' ? askUntracked(git) : undefined;
    const answer = await telling;
    const [inside, shallow, prefix = '', index, ...commits] = textOf(answer).split('\n');
    if (index === undefined || inside !== 'true') throw noWorkTree(answer);
    const told = commits.slice(0, names.length);
    const isTold = answer.status === 0 && told.length === names.length && told.every((one) => IS_ID.test(one));
    const known = names.map((name, i) => [name, isTold ? Promise.resolve(told[i]) : commitOf(git, name)] as const);
    for (const [, commit] of known) commit.catch(() => undefined); // met where it is asked for
    const place = { prefix, index: resolve(folder, index), shallow: shallow === 'true' };
    const left = isTold ? commits.find((line) => line.startsWith('^'))?.slice(1) : undefined;
    const leftAt = base === undefined || left === undefined ? [] : [[base, left] as const];
    return new GitRevisions(git, place, new Map(known), new Map(leftAt), untracked);
  }

  async resolve(revision: string): Promise<string> {
    const found = await this.#commitOf(revision);
    if (found !== undefined) return found;
    throw new RevisionFault(
      `"${revision.slice(0, 200)}" names no commit of this clone.`,
      this.shallow
        ? 'The clone is shallow and lacks older commits; nothing is fetched unasked: run git fetch --unshallow.'
        : 'Name a branch, a tag or a commit; one of another clone has to be fetched first.',
    );
  }

  head(): Promise<string | undefined> {
    return this.#commitOf('HEAD');
  }

  /** Paths of the work tree's files below the folder, sorted, where git was asked ahead and tells them as a walk would; some may be gone. */
  async workPaths(): Promise<readonly string[] | undefined> {
    if (this.#untracked === undefined) return undefined;
    const head = await this.head();
    return head === undefined ? undefined : workPaths(this.#indexNow(head.length / 2), this.#untracked, this.#prefix);
  }

  async leftFrom(revision: string): Promise<RevisionBase> {
    const [from, head] = [await this.resolve(revision), await this.#headCommit()];
    const known = this.#leftAt.get(revision);
    const asked = known === undefined ? this.#git.run('merge-base', [from, head]) : undefined;
    // Both are needed in most cases: a branch that left the last commit of its base is the usual one. The index is read while git works.
    // One after the other: the base is waited for first, and HEAD last of all.
    if (this.#ahead.size > 0) {
      const both = this.filesAt(from).then(() => this.filesAt(head));
      both.catch(() => undefined); // met where they are asked for
    }
    const answer = await asked;
    const commit = known ?? (answer?.status === 0 ? textOf(answer) : '');
    if (commit !== '') {
      const words = commit === from ? revision : `where this branch left ${revision}`;
      return { commit, words };
    }
    throw new RevisionFault(
      `No commit that HEAD and ${revision} have in common is in this clone.`,
      this.shallow
        ? 'The clone is shallow and ends before it; nothing is fetched unasked: run git fetch --unshallow, or fetch more with --deepen.'
        : 'The two have no common history; name another base.',
    );
  }

  async defaultBase(): Promise<RevisionBase> {
    const head = await this.#headCommit();
    const found = await defaultBranch(
      (name) => this.#symbolicName(name),
      (name) => this.#commitOf(name),
    );
    if (found === undefined)
      return { commit: head, words: 'the last commit, as no other branch is known to hold this one against' };
    const base = await this.leftFrom(found.name);
    return {
      commit: base.commit,
      words: base.commit === head ? `${found.name}, which holds the last commit` : base.words,
    };
  }

  filesAt(commit: string): Promise<GitTreeFiles> {
    let tree = this.#trees.get(commit);
    if (tree === undefined) this.#trees.set(commit, (tree = this.#tree(commit)));
    return tree;
  }

  async missing(blobs: readonly string[]): Promise<ReadonlySet<string>> {
    if (blobs.length === 0) return new Set();
    const answer = await this.#git.run('cat-file', ['--batch-check'], `${blobs.join('\n')}\n`);
    const found = textOf(answer).split('\n');
    return new Set(blobs.filter((id, i) => found[i]?.startsWith(`${id} blob `) !== true));
  }

  async changedPaths(
    at: RevisionFiles,
    work: RepositoryFiles,
    concerns: (path: string) => boolean,
    signal?: AbortSignalLike,
  ): Promise<readonly string[]> {
    const { files } = await work.list('', signal);
    const index = this.#indexNow(at.commit.length / 2);
    const { blobs } = at;
    const here = new Set<string>();
    const changed: string[] = [];
    const open: FileEntry[] = [];
    for (const file of files) {
      const { path } = file;
      here.add(path);
      if (index.isUntouched(this.#prefix + path, file) && this.#isAsIn(index, blobs, path)) continue;
      if (!concerns(path)) continue;
      if (blobs.has(path)) open.push(file);
      else changed.push(path);
    }
    for (const path of blobs.keys())
      if (!here.has(path) && concerns(path) && !index.leavesOut(this.#prefix + path)) changed.push(path);
    for (const file of open) {
      throwIfAborted(signal);
      if (!(await this.#holds(work, file, blobs.get(file.path)!, signal))) changed.push(file.path);
    }
    return changed.sort();
  }

  async leftOut(at: RevisionFiles, work: RepositoryFiles): Promise<readonly string[]> {
    const index = this.#indexNow(at.commit.length / 2);
    if (!index.leavesOutAny) return [];
    const here = new Set((await work.list('')).files.map(({ path }) => path));
    return [...at.blobs.keys()].filter((path) => !here.has(path) && index.leavesOut(this.#prefix + path)).sort();
  }

  replacedSince(base: string): Promise<readonly FileVersion[]> {
    return this.#history.replacedSince(base, lacking);
  }

  versionsOf(
    paths: readonly string[],
    commit: string,
    most: number,
  ): Promise<ReadonlyMap<string, readonly FileVersion[]>> {
    return this.#history.versionsOf(paths, commit, most);
  }

  readBlob({ path, blob }: Pick<FileVersion, 'path' | 'blob'>, limit = Infinity): Promise<Uint8Array> {
    return this.#blobs.read(path, blob, limit);
  }

  close(): Promise<void> {
    return this.#blobs.close();
  }

  async #headCommit(): Promise<string> {
    const head = await this.head();
    if (head !== undefined) return head;
    throw new RevisionFault(
      'This repository has no commit yet.',
      'Commit first: there is nothing to hold the files against.',
    );
  }

  #commitOf(revision: string): Promise<string | undefined> {
    return this.#ahead.get(revision) ?? commitOf(this.#git, revision);
  }

  /** `refs/remotes/origin/main` for `@{upstream}` and the like. */
  async #symbolicName(revision: string): Promise<string | undefined> {
    const args = ['--verify', '--quiet', '--symbolic-full-name', '--end-of-options', revision];
    const answer = await this.#git.run('rev-parse', args);
    return answer.status === 0 && textOf(answer) !== '' ? textOf(answer) : undefined;
  }

  async #tree(commit: string): Promise<GitTreeFiles> {
    const blobs = (await this.#blobsOfIndex(commit)) ?? (await this.#listedBlobs(commit));
    return new GitTreeFiles(commit, blobs, this.#blobs);
  }

  /** Undefined where the index is not whole, or was written while git was asked. */
  async #blobsOfIndex(commit: string): Promise<BlobIds | undefined> {
    const index = this.#indexNow(commit.length / 2);
    if (!index.isWhole) return undefined;
    const answer = await askDifference(this.#git, commit);
    if (answer.status !== 0 || this.#indexNow(commit.length / 2) !== index) return undefined;
    return new BlobsOfIndex(index, answer, this.#prefix);
  }

  async #listedBlobs(commit: string): Promise<BlobIds> {
    const answer = await this.#git.run('ls-tree', ['-r', '-z', '--full-tree', commit]);
    if (answer.status !== 0) throw lacking(commit, answer);
    return blobsOfListing(answer.out, this.#prefix);
  }

  /** Whether a commit has the object of a file that the index has. */
  #isAsIn(index: GitIndex, blobs: BlobIds, path: string): boolean {
    if (blobs instanceof BlobsOfIndex && blobs.isAsIn(index, path)) return true;
    return blobs.get(path) === index.objectOf(this.#prefix + path);
  }

  /** As it is now: another program may add to it at any time. */
  #indexNow(idBytes: number): GitIndex {
    return (this.#index = GitIndex.read(this.#indexPath, idBytes, this.#index));
  }

  async #holds(work: RepositoryFiles, file: FileEntry, id: string, signal?: AbortSignalLike): Promise<boolean> {
    const kept = () =>
      this.#blobs.read(file.path, id, MOST_POINTER_BYTES).catch((error: unknown) => {
        if (error instanceof FilePortError) return undefined;
        throw error;
      });
    return holdsObject(work, file, id, kept, signal);
  }
}

/** Where the repository lies in its work tree. */
interface Place {
  /** Its folder below the work tree's root, with a slash at its end; '' for the root itself. */
  readonly prefix: string;
  /** Path of git's index. */
  readonly index: string;
  readonly shallow: boolean;
}

/** A name that rev-parse takes for nothing else among its options: no range, no option, no path. */
const PLAIN_NAME = /^(?!-)(?!.*\.\.)[\w./@-]+$/u;
const IS_ID = /^[0-9a-f]{40,64}$/u;

async function commitOf(git: GitCommand, revision: string): Promise<string | undefined> {
  if (revision === '' || revision.includes('\0')) return undefined;
  const name = `${revision}^{commit}`;
  const answer = await git.run('rev-parse', ['--verify', '--quiet', '--end-of-options', name]);
  const commit = textOf(answer);
  return answer.status === 0 && IS_ID.test(commit) ? commit : undefined;
}

import { resolve } from 'node:path';
import { throwIfAborted, type AbortSignalLike } from '../../ports/abort';
import { FilePortError, type FileEntry, type RepositoryFiles } from '../../ports/repositoryFiles';
import {
  RevisionFault,
  type FileVersion,
  type RevisionBase,
  type RevisionFiles,
  type Revisions,
} from '../../ports/revisions';
import { GitBlobs } from './gitBlobs';
import { GitCommand, type GitAnswer, type GitCommandName } from './gitCommand';
import { defaultBranch } from './gitDefaultBranch';
import { GitIndex } from './gitIndex';
import { blobsOfListing, GitTreeFiles } from './gitTreeFiles';
import { holdsObject, MOST_POINTER_BYTES } from './gitWorkTree';

/** The history of a damper-spec repository in git, which may be a folder of a larger one. */
export class GitRevisions implements Revisions {
  readonly shallow: boolean;
  readonly #git: GitCommand;
  readonly #folder: string;
  readonly #blobs: GitBlobs;
  /** The repository's folder below the work tree's root, with a slash at its end; '' for the root itself. */
  readonly #prefix: string;
  readonly #trees = new Map<string, Promise<GitTreeFiles>>();

  private constructor(git: GitCommand, folder: string, prefix: string, shallow: boolean) {
    this.#git = git;
    this.#folder = folder;
    this.#prefix = prefix;
    this.#blobs = new GitBlobs(git);
    this.shallow = shallow;
  }

  /** @param folder root of the damper-spec repository. @throws RevisionFault where git is not there, or this is no work tree of it */
  static async open(folder: string, program?: string): Promise<GitRevisions> {
    const git = new GitCommand(folder, program);
    const answer = await git.run('rev-parse', ['--is-inside-work-tree', '--is-shallow-repository', '--show-prefix']);
    const [inside, shallow, prefix = ''] = textOf(answer).split('\n');
    if (answer.status !== 0 || inside !== 'true') throw noWorkTree(answer);
    return new GitRevisions(git, folder, prefix, shallow === 'true');
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

  async leftFrom(revision: string): Promise<RevisionBase> {
    const [from, head] = [await this.resolve(revision), await this.#headCommit()];
    const answer = await this.#git.run('merge-base', [from, head]);
    const commit = textOf(answer);
    if (answer.status === 0 && commit !== '') {
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

  async missingAt(commit: string): Promise<ReadonlySet<string>> {
    const tree = `${commit}^{tree}`;
    const answer = await this.#git.run('rev-list', ['--objects', '--no-object-names', '--missing=print', tree]);
    if (answer.status !== 0) throw lacking(commit, answer);
    return new Set(lines(answer).flatMap((line) => (line.startsWith('?') ? [line.slice(1)] : [])));
  }

  async changedPaths(
    at: RevisionFiles,
    work: RepositoryFiles,
    concerns: (path: string) => boolean,
    signal?: AbortSignalLike,
  ): Promise<readonly string[]> {
    const { files } = await work.list('', signal);
    const here = new Map(files.map((file) => [file.path, file]));
    const paths = new Set([...here.keys(), ...at.blobs.keys()].filter(concerns));
    const index = await this.#index(at.commit.length / 2);
    const changed: string[] = [];
    for (const path of [...paths].sort()) {
      throwIfAborted(signal);
      const [file, id] = [here.get(path), at.blobs.get(path)];
      if (file !== undefined && id !== undefined && index.idOf(`${this.#prefix}${path}`, file) === id) continue;
      if (file === undefined && index.leavesOut(`${this.#prefix}${path}`)) continue;
      if (file === undefined || id === undefined || !(await this.#holds(work, file, id, signal))) changed.push(path);
    }
    return changed;
  }

  async leftOut(at: RevisionFiles, work: RepositoryFiles): Promise<readonly string[]> {
    const index = await this.#index(at.commit.length / 2);
    const here = new Set((await work.list('')).files.map(({ path }) => path));
    return [...at.blobs.keys()].filter((path) => !here.has(path) && index.leavesOut(`${this.#prefix}${path}`)).sort();
  }

  async replacedSince(base: string): Promise<readonly FileVersion[]> {
    const listed = lines(await this.#need('rev-list', ['--timestamp', `^${base}`, 'HEAD']));
    const times = new Map(listed.map((line) => [line.split(' ')[1] ?? '', Number(line.split(' ')[0])]));
    const answer = await this.#need('diff-tree', REPLACED, [...times.keys(), ''].join('\n'));
    return replacedFiles(answer.out, this.#prefix).map((one) => ({ ...one, time: times.get(one.commit) ?? 0 }));
  }

  async versionsOf(path: string, commit: string, most: number): Promise<readonly FileVersion[]> {
    const answer = await this.#git.run('rev-list', [
      '--timestamp',
      '--first-parent',
      `--max-count=${most}`,
      commit,
      '--',
      `${this.#prefix}${path}`,
    ]);
    if (answer.status !== 0) return [];
    const versions: FileVersion[] = [];
    for (const line of lines(answer)) {
      const [time, at = ''] = line.split(' ');
      const blob = await this.#blobAt(at, path);
      if (blob !== undefined) versions.push({ path, blob, commit: at, time: Number(time) });
    }
    return versions;
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

  async #commitOf(revision: string): Promise<string | undefined> {
    if (revision === '' || revision.includes('\0')) return undefined;
    const name = `${revision}^{commit}`;
    const answer = await this.#git.run('rev-parse', ['--verify', '--quiet', '--end-of-options', name]);
    const commit = textOf(answer);
    return answer.status === 0 && /^[0-9a-f]{40,64}$/u.test(commit) ? commit : undefined;
  }

  /** `refs/remotes/origin/main` for `@{upstream}` and the like. */
  async #symbolicName(revision: string): Promise<string | undefined> {
    const args = ['--verify', '--quiet', '--symbolic-full-name', '--end-of-options', revision];
    const answer = await this.#git.run('rev-parse', args);
    return answer.status === 0 && textOf(answer) !== '' ? textOf(answer) : undefined;
  }

  async #tree(commit: string): Promise<GitTreeFiles> {
    const answer = await this.#git.run('ls-tree', ['-r', '-z', '--full-tree', commit]);
    if (answer.status !== 0) throw lacking(commit, answer);
    return new GitTreeFiles(commit, blobsOfListing(answer.out, this.#prefix), this.#blobs);
  }

  async #blobAt(commit: string, path: string): Promise<string | undefined> {
    const answer = await this.#git.run('ls-tree', ['-z', '--full-tree', commit, '--', `${this.#prefix}${path}`]);
    return answer.status === 0 ? blobsOfListing(answer.out, this.#prefix).get(path) : undefined;
  }

  /** As it is now: another program may add to it at any time. */
  async #index(idBytes: number): Promise<GitIndex> {
    const answer = await this.#git.run('rev-parse', ['--git-path', 'index']);
    return GitIndex.read(resolve(this.#folder, textOf(answer)), idBytes);
  }

  async #need(name: GitCommandName, args: readonly string[], input?: string): Promise<GitAnswer> {
    const answer = await this.#git.run(name, args, input);
    if (answer.status !== 0) throw lacking(args.at(-1) ?? '', answer);
    return answer;
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

/** What commits did to plain files against their first parents. A merge that only joins two sides is seen by its commits. */
const REPLACED = '--stdin -r -z --root --raw --no-abbrev --no-renames --no-ext-diff --no-textconv'.split(' ');

function replacedFiles(listing: Buffer, prefix: string): readonly Omit<FileVersion, 'time'>[] {
  const parts = listing.toString('utf8').split('\0');
  const replaced: Omit<FileVersion, 'time'>[] = [];
  let commit = '';
  for (let at = 0; at + 1 < parts.length; at++) {
    const part = parts[at]!;
    if (!part.startsWith(':')) {
      commit = part;
      continue;
    }
    const path = parts[++at]!;
    const [, mode = '', blob = ''] = /^:(\d{6}) \d{6} ([0-9a-f]+) [0-9a-f]+ [A-Z]/u.exec(part) ?? [];
    if (mode.startsWith('100') && path.startsWith(prefix))
      replaced.push({ path: path.slice(prefix.length), blob, commit });
  }
  return replaced;
}

function textOf(answer: GitAnswer): string {
  return answer.out.toString('utf8').replace(/\n$/u, '');
}

function lines(answer: GitAnswer): readonly string[] {
  return textOf(answer)
    .split('\n')
    .filter((line) => line !== '');
}

function lacking(what: string, { err }: GitAnswer): RevisionFault {
  return new RevisionFault(
    `git could not read ${what.slice(0, 80)} from this clone: ${shortened(err)}`,
    'A partial or shallow clone may lack it; nothing is fetched unasked: fetch it, then try again.',
  );
}

function noWorkTree({ err }: GitAnswer): RevisionFault {
  if (err.includes('dubious ownership'))
    return new RevisionFault(
      'git does not trust this folder: it belongs to another user.',
      'If you trust it, name it under safe.directory in your own git configuration.',
    );
  return new RevisionFault(
    `This folder is no work tree of a git repository${err === '' ? '' : ` (${shortened(err)})`}.`,
    'Run it inside a clone: there is no history here to look at.',
  );
}

function shortened(text: string): string {
  const [first = ''] = text.split('\n');
  return first.replace(/^fatal: /u, '').slice(0, 200);
}

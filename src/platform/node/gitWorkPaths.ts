import type { GitAnswer, GitCommand } from './gitCommand';
import type { GitIndex } from './gitIndex';
import { MAX_DEPTH } from './folderWalk';
import { isSkippedPath } from './gitTreeFiles';
import { isTemporaryName } from './temporaryFile';

/** What the work tree holds that the index does not. */
export interface Untracked {
  /** Milliseconds since 1970: when git was asked, or some time before. */
  readonly askedAt: number;
  readonly answer: Promise<GitAnswer>;
}

/**
 * Asks for the files below git's folder that the index lacks, ignored ones too; nothing that a repository may configure has a say in it. git
 * does not look into what no walk does: a hundred thousand files, where there are any.
 */
export function askUntracked(git: GitCommand): Untracked {
  const askedAt = Date.now();
  const answer = git.run('ls-files', ['-z', '--others', '--exclude=node_modules']);
  answer.catch(() => undefined); // met where it is needed
  return { askedAt, answer };
}

/**
 * Paths that a walk through the repository's folder would list, by the index and what git found beside it while others worked: of 4,000 files
 * in 2,500 folders the walk takes 50 ms of the main thread. Each is still to be looked at, as a file of the index may be gone.
 *
 * @param prefix '' or a folder with a slash at its end; paths are relative to it
 * @returns sorted; undefined where git tells another story than the walk would: of links, of repositories in this one, of folders that cannot
 *   be read, and where the index was written since
 */
export async function workPaths(
  index: GitIndex,
  { askedAt, answer }: Untracked,
  prefix: string,
): Promise<readonly string[] | undefined> {
  const { status, out, err } = await answer;
  if (status !== 0 || err !== '' || !index.isWhole || !index.isPlain || !index.isWrittenBefore(askedAt))
    return undefined;
  const untracked = out.length === 0 ? [] : out.toString('utf8').slice(0, -1).split('\0');
  if (untracked.some((path) => path.endsWith('/') && !isSkippedPath(path.slice(0, -1)))) return undefined; // a repository in this one
  const paths: string[] = [];
  for (const path of index.paths) if (path.startsWith(prefix)) paths.push(path.slice(prefix.length));
  for (const path of untracked) if (!isTemporaryName(path.slice(path.lastIndexOf('/') + 1))) paths.push(path);
  if (paths.some((path) => TOO_DEEP.test(path))) return undefined;
  return paths.filter((path) => !isSkippedPath(path)).sort();
}

const TOO_DEEP = new RegExp(`^(?:[^/]*/){${MAX_DEPTH + 1}}`, 'u');

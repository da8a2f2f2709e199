import type { FileVersion } from '../../ports/revisions';
import { linesOf, type GitAnswer, type GitCommand } from './gitCommand';

/** What commits did to plain files against their first parents. A merge that only joins two sides is seen by its commits. */
const RAW = '--stdin -r -z --root --raw --no-abbrev --no-renames --no-ext-diff --no-textconv'.split(' ');

/** Which contents files had, commit by commit. Two processes work at a time, one on what the other finds. */
export class GitHistory {
  readonly #git: GitCommand;
  /** The repository's folder below the work tree's root, with a slash at its end; '' for the root itself. */
  readonly #prefix: string;

  constructor(git: GitCommand, prefix: string) {
    this.#git = git;
    this.#prefix = prefix;
  }

  /** As `Revisions.replacedSince`. @param lacking makes the error of a command that failed */
  async replacedSince(
    base: string,
    lacking: (what: string, answer: GitAnswer) => Error,
  ): Promise<readonly FileVersion[]> {
    const listing = this.#git.run('rev-list', ['--timestamp', `^${base}`, 'HEAD']).then((answer) => {
      if (answer.status !== 0) throw lacking('HEAD', answer);
      return linesOf(answer).map((line) => line.split(' '));
    });
    const input = listing.then((lines) => [...lines.map(([, commit]) => commit), ''].join('\n'));
    const [lines, answer] = await Promise.all([listing, this.#git.run('diff-tree', RAW, input)]);
    if (answer.status !== 0) throw lacking('HEAD', answer);
    const times = new Map(lines.map(([time, commit = '']) => [commit, Number(time)]));
    return this.#changes(answer).flatMap(({ path, commit, before }) =>
      before === undefined ? [] : [{ path, blob: before, commit, time: times.get(commit) ?? 0 }],
    );
  }

  /** As `Revisions.versionsOf`. The whole list is asked for: a reference moves so seldom that git walks to the first commit anyway. */
  async versionsOf(
    paths: readonly string[],
    commit: string,
    most: number,
  ): Promise<ReadonlyMap<string, readonly FileVersion[]>> {
    const versions = new Map<string, FileVersion[]>(paths.map((path) => [path, []]));
    if (versions.size === 0) return versions;
    const named = ['--', ...versions.keys()];
    const listing = this.#git
      .run('rev-list', ['--timestamp', '--first-parent', '--parents', commit, ...named])
      .then((answer) => (answer.status === 0 ? linesOf(answer).map((line) => line.split(' ')) : []));
    const input = listing.then((lines) =>
      [...lines.map(([, at, parent]) => [at, parent].join(' ').trim()), ''].join('\n'),
    );
    const [lines, answer] = await Promise.all([listing, this.#git.run('diff-tree', [...RAW, ...named], input)]);
    const times = new Map(lines.map(([time, at = '']) => [at, Number(time)]));
    for (const { path, commit: at, after } of this.#changes(answer)) {
      const ofPath = versions.get(path);
      if (ofPath !== undefined && after !== undefined && ofPath.length < most)
        ofPath.push({ path, blob: after, commit: at, time: times.get(at) ?? 0 });
    }
    return versions;
  }

  #changes(answer: GitAnswer): readonly Change[] {
    const parts = answer.out.toString('utf8').split('\0');
    const changes: Change[] = [];
    let commit = '';
    for (let at = 0; at + 1 < parts.length; at++) {
      const part = parts[at]!;
      if (!part.startsWith(':')) {
        commit = part;
        continue;
      }
      const path = parts[++at]!;
      const [, modeBefore = '', modeAfter = '', before, after] =
        /^:(\d{6}) (\d{6}) ([0-9a-f]+) ([0-9a-f]+) [A-Z]/u.exec(part) ?? [];
      if (!path.startsWith(this.#prefix)) continue;
      changes.push({
        ...{ path: path.slice(this.#prefix.length), commit },
        ...(isPlain(modeBefore) && { before }),
        ...(isPlain(modeAfter) && { after }),
      });
    }
    return changes;
  }
}

/** A plain file's object ids before and after a commit; absent where it is none there. */
interface Change {
  readonly path: string;
  readonly commit: string;
  readonly before?: string | undefined;
  readonly after?: string | undefined;
}

/** Links and submodules are none. */
function isPlain(mode: string): boolean {
  return mode.startsWith('100');
}

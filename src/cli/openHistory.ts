import { GitRevisions } from '../platform/node/gitRevisions';
import type { RevisionFiles, Revisions } from '../ports/revisions';
import { ReviewSession } from '../session/reviewSession';
import type { BranchWork } from '../changes/reviewBranch';
import { ShownFiles } from '../changes/shownFiles';
import type { RepositoryFiles } from '../ports/repositoryFiles';
import { portsOf, withSession, withSessionOn, type RunControl } from './openSession';

/** A session on the work tree, with the history behind it. */
export interface HistoryWork {
  readonly session: ReviewSession;
  readonly revisions: () => Promise<Revisions>;
  openAt(files: RevisionFiles): ReviewSession;
}

/** As `withSession`, and ends what reads the history. Nothing of git is started before the history is asked for. */
export function withHistory<Result>(
  root: string,
  useCache: boolean,
  work: (history: HistoryWork, run: RunControl) => Promise<Result>,
): Promise<Result> {
  return withSession(root, useCache, async (session, run) => {
    let opened: Promise<Revisions> | undefined;
    try {
      return await work(
        {
          session,
          revisions: () => (opened ??= GitRevisions.open(root)),
          openAt: (files) => new ReviewSession({ ...portsOf(root, useCache), files }),
        },
        run,
      );
    } finally {
      await closed(opened);
    }
  });
}

/** A session that shows one state of the repository after the other, with the history behind it, which is closed at the end. */
export function withBranch<Result>(
  root: string,
  useCache: boolean,
  opened: Promise<GitRevisions>,
  work: (branch: BranchWork, run: RunControl) => Promise<Result>,
): Promise<Result> {
  let shown: ShownFiles | undefined;
  let disk: RepositoryFiles | undefined;
  const source = {
    files: (files: RepositoryFiles) => (shown = new ShownFiles((disk = files))),
    isElsewhere: (path: string) => shown?.isShown(path) ?? false,
    listing: {
      keepsFolders: false, // a branch is looked at once, most often in a clone that is thrown away; it takes 10 ms of 2,500 folders
      toldPaths: async () => (await opened).workPaths(),
    },
    // Little of it holds in either state, and to see what does takes a quarter of a second of 2,000 results.
    usesKept: false,
  };
  const worked = withSessionOn(root, useCache, source, async (session, run) =>
    work({ session, files: shown!, work: disk!, revisions: await opened }, run),
  );
  return worked.finally(() => closed(opened));
}

/** A history that could not be opened is closed. */
async function closed(opened: Promise<Revisions> | undefined): Promise<void> {
  await opened?.then((revisions) => revisions.close()).catch(() => undefined);
}

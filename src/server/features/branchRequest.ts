import type { CancellationToken, WorkDoneProgressReporter } from 'vscode-languageserver';
import { AbortedError, throwIfAborted } from '../../ports/abort';
import { SessionFault } from '../../session/sessionFault';
import { spellHidden } from '../../text/visible';
import { REQUEST, type BranchParams } from '../../protocol/requests';
import type { BranchView } from '../../protocol/views';
import { inWords } from '../faultInWords';
import { nameOfUri } from '../folderUri';
import type { Repository } from '../repository';
import type { ServerParts } from '../server';
import { branchView } from '../views/branchView';

/** Answers `damperReview/branch`, with progress where a token for it is given. */
export function registerBranch({ connection, workspace, options }: ServerParts): void {
  const reviews = new BranchReviews();
  connection.onRequest(REQUEST.branch, async (params: BranchParams, token: CancellationToken) => {
    const progress = connection.window.attachWorkDoneProgress(params.workDoneToken);
    try {
      await workspace.opened;
      const repository = await askedRepository(params.uri);
      refuseWithoutHistory(repository);
      return await reviews.of(repository, params, token, progress);
    } catch (error) {
      return inWords(error);
    }
  });

  async function askedRepository(uri: string | undefined): Promise<Repository> {
    const { repositories } = workspace;
    const [first] = repositories;
    const repository = uri !== undefined ? (await workspace.placeOf(uri))?.repository : first;
    if (repository === undefined)
      throw new SessionFault(
        uri === undefined ? 'No damper-spec repository is open.' : 'The file lies in no damper-spec repository.',
        'Open a folder with a damper-review.yaml at its root.',
      );
    if (uri === undefined && repositories.length > 1)
      throw new SessionFault(
        `Several damper-spec repositories are open: ${repositories.map(({ folder }) => nameOfUri(folder.uri)).join(', ')}.`,
        'Open a file of the one that is meant, then ask again.',
      );
    return repository;
  }

  function refuseWithoutHistory(repository: Repository): void {
    if (!options.trusted)
      throw new SessionFault(
        'This folder is in restricted mode: no program is started, so git is not asked what the branch changes.',
        'Trust the folder to see it; files are judged without.',
      );
    if (!repository.history.isThere)
      throw new SessionFault(
        'There is no git history here: in a browser, and in a folder that is on no disk, files are read through the editor and no program runs.',
        'Open a clone of it on a desktop or a remote machine, or look at the review of the pull request.',
      );
  }
}

interface Running {
  readonly base: string;
  readonly controller: AbortController;
  readonly done: Promise<unknown>;
}

/**
 * One review of a branch at a time in each repository. A question that is asked again takes the place of the older one, whose answer nobody waits
 * for any more; another base waits for its turn, so that two pages never stop each other.
 */
class BranchReviews {
  readonly #running = new WeakMap<Repository, readonly Running[]>();

  async of(
    repository: Repository,
    asked: BranchParams,
    token: CancellationToken,
    progress: WorkDoneProgressReporter,
  ): Promise<BranchView> {
    const base = asked.base ?? '';
    const controller = new AbortController();
    const before = this.#running.get(repository) ?? [];
    for (const older of before) if (older.base === base) older.controller.abort();
    const stop = token.onCancellationRequested(() => {
      controller.abort();
    });
    const work = Promise.allSettled(before.map(({ done }) => done)).then(() =>
      reviewed(repository, asked, controller.signal, progress),
    );
    const mine: Running = { base, controller, done: work };
    this.#running.set(repository, [...before, mine]);
    try {
      return await work;
    } finally {
      stop.dispose();
      this.#running.set(
        repository,
        (this.#running.get(repository) ?? []).filter((one) => one !== mine),
      );
    }
  }
}

async function reviewed(
  repository: Repository,
  { base = '', drawn, width }: BranchParams,
  signal: AbortSignal,
  progress: WorkDoneProgressReporter,
): Promise<BranchView> {
  throwIfAborted(signal);
  progress.begin('Review of the branch', 0, 'looking at its history');
  try {
    const changes = await repository.history.branch(base === '' ? undefined : base, {
      signal,
      progress: (what, share) => {
        const words = spellHidden(what);
        if (share === undefined) progress.report(words);
        else progress.report(Math.floor(100 * share), words);
      },
    });
    if (signal.aborted) throw new AbortedError();
    const { uri } = repository.folder;
    return branchView(changes, { base, uri, drawn, width, uriOf: (path) => repository.folder.uriOf(path) });
  } finally {
    progress.done();
  }
}

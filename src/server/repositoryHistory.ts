import { compareAcross, splitRevision } from '../changes/compareAcross';
import { planAdoption, type AdoptionPlan } from '../changes/adopt';
import type { BranchChanges } from '../changes/branchChanges';
import { reviewBranch } from '../changes/reviewBranch';
import { ShownFiles } from '../changes/shownFiles';
import type { Comparison } from '../review/comparison';
import { ReviewSession, type RunOptions } from '../session/reviewSession';
import { SessionFault } from '../session/sessionFault';
import type { OpenedPorts } from './serverPlatform';

/** What needs the history of a repository. Nothing of git is started before it is asked for, and nothing where the workspace is not trusted. */
export class RepositoryHistory {
  readonly #session: ReviewSession;
  readonly #opened: OpenedPorts;

  /** @param session of the work tree with its unsaved texts */
  constructor(session: ReviewSession, opened: OpenedPorts) {
    this.#session = session;
    this.#opened = opened;
  }

  /** Compares two names, either of them `NAME@REVISION`. @throws SessionFault, RevisionFault */
  async compare(a: string, b: string): Promise<Comparison> {
    const { history, ports } = this.#opened;
    const exists = async (name: string): Promise<boolean> =>
      (await ports.files.stat(name).catch(() => undefined)) !== undefined;
    const revisions = () => this.#history().revisions();
    const [first, second] = [await splitRevision(a, exists, revisions), await splitRevision(b, exists, revisions)];
    if (history === undefined) return this.#session.compare(first.name, second.name);
    const openAt = (files: OpenedPorts['ports']['files']) => new ReviewSession(history.portsFor(files, () => true));
    return compareAcross({ session: this.#session, openAt, revisions }, first, second);
  }

  /** Whether there is a history that may be read here. */
  get isThere(): boolean {
    return this.#opened.history !== undefined;
  }

  /** The branch as it is saved, against the commit that it left. @throws SessionFault, RevisionFault, AbortedError */
  async branch(base: string | undefined, options: RunOptions = {}): Promise<BranchChanges> {
    return this.#onShown(async (session, files, revisions) =>
      reviewBranch({ session, files, work: this.#opened.ports.files, revisions }, base, options),
    );
  }

  /** What making results the reference would do. @throws SessionFault, RevisionFault */
  async adoption(paths: readonly string[], reason: string): Promise<AdoptionPlan> {
    return this.#onShown(async (session, _, revisions) =>
      planAdoption({ session, work: this.#opened.ports.files, revisions }, paths, reason),
    );
  }

  async #onShown<Result>(
    work: (
      session: ReviewSession,
      files: ShownFiles,
      revisions: Awaited<ReturnType<History['revisions']>>,
    ) => Promise<Result>,
  ): Promise<Result> {
    const history = this.#history();
    const shown = new ShownFiles(this.#opened.ports.files);
    const session = new ReviewSession(history.portsFor(shown, (path) => shown.isShown(path)));
    return work(session, shown, await history.revisions());
  }

  #history(): History {
    const { history } = this.#opened;
    if (history !== undefined) return history;
    throw new SessionFault(
      'The history of this repository cannot be read here.',
      'Trust the workspace, and open a clone on the disk of a desktop or a remote machine with git: a browser has no history, nor has a folder that is on no disk.',
    );
  }
}

type History = NonNullable<OpenedPorts['history']>;

import type { AbortSignalLike } from '../ports/abort';
import type { Finding } from '../review/finding';
import type { JudgedResult } from '../review/judgedResult';
import type { ReviewChanges } from '../session/liveReview';
import { LogReadings } from '../session/logReadings';
import { ReviewSession } from '../session/reviewSession';
import { spellHidden } from '../text/visible';
import { FolderUri, nameOfUri } from './folderUri';
import { RepositoryHistory } from './repositoryHistory';
import { ReviewLoop } from './reviewLoop';
import { ReviewProgress, type ShownProgress } from './reviewProgress';
import { ReviewState } from './reviewState';
import type { OpenedPorts } from './serverPlatform';

export interface RepositoryEvents {
  /** A settled state was reviewed. @param files those whose findings may have changed */
  settled(repository: Repository, files: readonly string[]): void;
  failed(repository: Repository, error: unknown): void;
  /** The user stopped the review. */
  stopped(repository: Repository): void;
  /** Asks the client for a place to show progress at. */
  showProgress(): Promise<ShownProgress>;
}

export interface Tuning {
  /** Quiet time [ms] after a change before a review starts. */
  readonly quiet: number;
  /** A review that takes no longer than this [ms] shows no progress. */
  readonly patience: number;
}

/** One damper-spec repository under review: its session, and what the last settled review found. */
export class Repository {
  readonly folder: FolderUri;
  readonly session: ReviewSession;
  readonly history: RepositoryHistory;
  readonly #opened: OpenedPorts;
  readonly #loop: ReviewLoop<ReviewChanges>;
  readonly #state = new ReviewState();
  readonly #untold = new Set<string>();
  readonly #readings = new LogReadings();
  readonly #progress: ReviewProgress;
  #wasReviewed = false;

  constructor(root: string, opened: OpenedPorts, events: RepositoryEvents, { quiet, patience }: Tuning) {
    this.folder = new FolderUri(root);
    this.#opened = opened;
    this.session = new ReviewSession({ ...opened.ports, readings: this.#readings });
    this.history = new RepositoryHistory(this.session, opened);
    this.#progress = new ReviewProgress({
      title: `Review of ${spellHidden(nameOfUri(this.folder.uri))}`,
      patience,
      show: () => events.showProgress(),
      reading: () => this.#readings.file,
      stopped: () => {
        this.#stop();
        events.stopped(this);
      },
    });
    this.#loop = new ReviewLoop({
      review: (signal) => this.#review(signal),
      settled: () => {
        this.#progress.end();
        this.#wasReviewed = true;
        const files = [...this.#untold];
        this.#untold.clear();
        events.settled(this, files);
      },
      failed: (error) => {
        this.#progress.end();
        events.failed(this, error);
      },
      quiet,
    });
  }

  /** Lays the unsaved text of an editor over a file, or takes it away. */
  overlay(path: string, text: string | undefined): void {
    this.session.overlay(path, text);
    this.#loop.touch();
  }

  invalidate(paths: readonly string[]): void {
    this.session.invalidate(paths);
    this.#loop.touch();
  }

  whenSettled(): Promise<void> {
    return this.#loop.whenSettled();
  }

  /** Takes up a review that the user stopped. */
  goOn(): void {
    this.#loop.goOn();
  }

  /** Whether the user stopped the review, and nothing changed since. */
  get isStopped(): boolean {
    return this.#loop.isStopped;
  }

  /** The file as it is stored, whatever editors hold of it; undefined where it cannot be read. */
  async storedText(path: string, limit: number): Promise<string | undefined> {
    try {
      return new TextDecoder().decode(await this.#opened.ports.files.read(path, limit));
    } catch {
      return undefined;
    }
  }

  async has(path: string): Promise<boolean> {
    return (await this.#opened.ports.files.stat(path).catch(() => undefined)) !== undefined;
  }

  /** Whether a settled state has been reviewed yet. */
  get wasReviewed(): boolean {
    return this.#wasReviewed;
  }

  /** Every judged result, failures first. */
  get results(): readonly JudgedResult[] {
    return this.#state.results;
  }

  /** The result of this file: committed, or of the run that this log belongs to. */
  resultOf(path: string): JudgedResult | undefined {
    return this.#state.resultOf(path);
  }

  findingsOf(path: string): readonly Finding[] {
    return this.#state.findingsOf(path);
  }

  close(): void {
    this.#loop.close();
    this.#progress.end();
    this.#readings.close();
    this.#opened.close();
  }

  #stop(): void {
    this.#loop.stop();
    this.#readings.stop();
    this.#progress.end();
  }

  /** Changes are taken in as they come; they are told once a state has settled. */
  async #review(signal: AbortSignalLike): Promise<ReviewChanges> {
    this.#progress.start();
    const changes = await this.session.reviewChanges({
      signal,
      progress: (words, share) => {
        this.#progress.tell(words, share);
      },
    });
    for (const file of this.#state.apply(changes)) this.#untold.add(file);
    return changes;
  }
}

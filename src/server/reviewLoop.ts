import { AbortedError, type AbortSignalLike } from '../ports/abort';

export interface ReviewLoopOptions<Outcome> {
  /** One review of the state as it is now. */
  review(signal: AbortSignalLike): Promise<Outcome>;
  /** Called once for each settled state, never with an older state after a newer one. */
  settled(outcome: Outcome): void;
  failed(error: unknown): void;
  /** So long [ms] nothing must change before a review starts: keystrokes come in rows. */
  readonly quiet: number;
}

/**
 * Reviews again after every change, one review at a time; a change during a review gives that one up. A loop that was stopped rests until the
 * next change, or until it is told to go on.
 */
export class ReviewLoop<Outcome> {
  readonly #options: ReviewLoopOptions<Outcome>;
  #changes = 0;
  #settledChanges = -1;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #running: AbortController | undefined;
  #waiting: (() => void)[] = [];
  #closed = false;
  #stopped = false;

  constructor(options: ReviewLoopOptions<Outcome>) {
    this.#options = options;
  }

  /** Says that something changed. */
  touch(): void {
    if (this.#closed) return;
    this.#changes += 1;
    this.#stopped = false;
    this.#running?.abort();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#timer = undefined;
      if (this.#running === undefined) void this.#reviewUntilSettled();
    }, this.#options.quiet);
  }

  /** Gives up the review under way. Whoever waits for it goes on with what was told last. */
  stop(): void {
    if (this.#closed || this.#settledChanges === this.#changes) return;
    this.#stopped = true;
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.#running?.abort();
    this.#release();
  }

  /** Takes up the review that was stopped; nothing where none was. */
  goOn(): void {
    if (!this.#stopped) return;
    this.#stopped = false;
    if (this.#running === undefined) void this.#reviewUntilSettled();
  }

  /** Whether something changed that is not reviewed, since the user stopped it. */
  get isStopped(): boolean {
    return this.#stopped;
  }

  /** Waits until everything that changed so far has been reviewed, or the review was stopped. */
  whenSettled(): Promise<void> {
    if (this.#closed || this.#stopped || this.#settledChanges === this.#changes) return Promise.resolve();
    return new Promise((resolve) => this.#waiting.push(resolve));
  }

  close(): void {
    this.#closed = true;
    clearTimeout(this.#timer);
    this.#running?.abort();
    this.#release();
  }

  async #reviewUntilSettled(): Promise<void> {
    while (!this.#closed && !this.#stopped && this.#timer === undefined && this.#settledChanges !== this.#changes) {
      const controller = new AbortController();
      this.#running = controller;
      const state = this.#changes;
      try {
        const outcome = await this.#options.review(controller.signal);
        if (this.#changes === state && !this.#isOver()) this.#settle(state, outcome);
      } catch (error) {
        if (!(error instanceof AbortedError) && this.#changes === state) {
          this.#settledChanges = state; // the same state would fail again
          this.#options.failed(error);
          this.#release();
        }
      } finally {
        this.#running = undefined;
      }
    }
  }

  #settle(state: number, outcome: Outcome): void {
    this.#settledChanges = state;
    try {
      this.#options.settled(outcome);
    } finally {
      this.#release();
    }
  }

  /** Read anew behind an await. */
  #isOver(): boolean {
    return this.#closed || this.#stopped;
  }

  #release(): void {
    for (const resolve of this.#waiting.splice(0)) resolve();
  }
}

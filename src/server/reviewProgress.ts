import type { WorkDoneProgressServerReporter } from 'vscode-languageserver';
import { spellHidden } from '../text/visible';

/** What the client shows of work that takes its time. */
export type ShownProgress = Pick<WorkDoneProgressServerReporter, 'begin' | 'report' | 'done' | 'token'>;

export interface ReviewProgressOptions {
  /** In the client's words above the progress. */
  readonly title: string;
  /** Work that is over within so long [ms] is not shown. */
  readonly patience: number;
  show(): Promise<ShownProgress>;
  /** The log that is being read, on which all may be waiting, whatever was begun since. */
  reading(): string | undefined;
  /** The user wants no more of it. */
  stopped(): void;
}

/** Messages come every so often [ms]: one for each of thousands of results would fill the connection. */
const BETWEEN = 100;

/**
 * Progress of a review on the client, from when a state is taken up until one is told: reviews that were given up for a newer state in between
 * are one piece of work to who looks at it.
 */
export class ReviewProgress {
  readonly #options: ReviewProgressOptions;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #sending: ReturnType<typeof setInterval> | undefined;
  #shown: ShownProgress | undefined;
  /** Counts the pieces of work, to know one that is over when the client answers. */
  #piece = 0;
  #isUnderWay = false;
  #percent = 0;
  #words = '';
  #sent = '';

  constructor(options: ReviewProgressOptions) {
    this.#options = options;
  }

  start(): void {
    if (this.#isUnderWay) return;
    this.#isUnderWay = true;
    this.#percent = 0;
    this.#words = 'Looking at the files';
    const piece = this.#piece;
    this.#timer = setTimeout(() => void this.#show(piece), this.#options.patience);
  }

  /** @param share 0 to 1; it never goes back while a piece of work lasts */
  tell(words: string, share: number | undefined): void {
    this.#words = words;
    this.#percent = Math.max(this.#percent, Math.floor(100 * (share ?? 0)));
  }

  end(): void {
    this.#isUnderWay = false;
    this.#piece += 1;
    clearTimeout(this.#timer);
    clearInterval(this.#sending);
    this.#shown?.done();
    this.#shown = undefined;
  }

  async #show(piece: number): Promise<void> {
    let shown: ShownProgress;
    try {
      shown = await this.#options.show();
    } catch {
      return; // a client that cannot show it
    }
    if (piece !== this.#piece) {
      shown.done();
      return;
    }
    shown.token.onCancellationRequested(() => {
      if (piece === this.#piece) this.#options.stopped();
    });
    const words = this.#wordsNow();
    this.#sent = `${this.#percent} ${words}`;
    shown.begin(this.#options.title, this.#percent, words, true);
    this.#shown = shown;
    this.#sending = setInterval(() => {
      this.#send(shown);
    }, BETWEEN);
  }

  #send(shown: ShownProgress): void {
    const words = this.#wordsNow();
    const text = `${this.#percent} ${words}`;
    if (text === this.#sent) return;
    this.#sent = text;
    shown.report(this.#percent, words);
  }

  #wordsNow(): string {
    const file = this.#options.reading();
    return spellHidden(file === undefined ? this.#words : `Reading ${file}`);
  }
}

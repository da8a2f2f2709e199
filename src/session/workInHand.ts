import type { Progress } from '../ports/services';

/**
 * Progress over many items of which a few are in hand at a time: tells how many are done, and which one has been in hand for longest, since
 * that one is what everybody waits for.
 */
export class WorkInHand {
  readonly #total: number;
  readonly #progress: Progress | undefined;
  readonly #inHand = new Map<string, string>();
  #done = 0;
  #told = '';

  constructor(total: number, progress: Progress | undefined) {
    this.#total = total;
    this.#progress = progress;
  }

  /** Does one item. @param words what is being done, such as `Judging a.result.csv` */
  async during(item: string, words: string, work: () => Promise<void>): Promise<void> {
    this.#inHand.set(item, words);
    this.#tell();
    await work();
    this.#inHand.delete(item);
    this.#done += 1;
    this.#tell();
  }

  #tell(): void {
    const [oldest] = this.#inHand.values();
    if (oldest !== undefined) this.#told = oldest;
    this.#progress?.(this.#told, this.#done / this.#total);
  }
}

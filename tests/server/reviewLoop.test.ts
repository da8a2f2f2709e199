import { describe, expect, it } from 'vitest';
import { AbortedError, type AbortSignalLike } from '../../src/ports/abort';
import { ReviewLoop } from '../../src/server/reviewLoop';

/** A loop whose reviews end when the test says so, each with the number of changes that it saw. */
class HeldReviews {
  readonly settled: number[] = [];
  readonly failed: string[] = [];
  readonly loop: ReviewLoop<number>;
  changes = 0;
  readonly #running: { readonly signal: AbortSignalLike; end(error?: Error): void }[] = [];

  constructor() {
    this.loop = new ReviewLoop<number>({
      review: (signal) => {
        const seen = this.changes;
        return new Promise((resolve, reject) => {
          this.#running.push({
            signal,
            end: (error) => {
              if (error === undefined) resolve(seen);
              else reject(error);
            },
          });
        });
      },
      settled: (seen) => this.settled.push(seen),
      failed: (error) => this.failed.push(String(error)),
      quiet: 1,
    });
  }

  change(): void {
    this.changes += 1;
    this.loop.touch();
  }

  /** The next review that has started. */
  async started(): Promise<{ readonly signal: AbortSignalLike; end(error?: Error): void }> {
    await expect.poll(() => this.#running.length).toBeGreaterThan(0);
    return this.#running.shift()!;
  }
}

describe('the loop of reviews', () => {
  it('never tells the state of a review that a change overtook, even where that review ends well', async () => {
    const held = new HeldReviews();
    held.change();
    const first = await held.started();
    held.change();
    expect(first.signal.aborted).toBe(true);
    first.end();
    const second = await held.started();
    second.end();
    await held.loop.whenSettled();
    expect(held.settled).toEqual([2]);
  });

  it('runs one review at a time and starts the next when an overtaken one has given up', async () => {
    const held = new HeldReviews();
    held.change();
    const first = await held.started();
    for (let i = 0; i < 50; i++) held.change();
    first.end(new AbortedError());
    (await held.started()).end();
    await held.loop.whenSettled();
    expect([held.settled, held.failed]).toEqual([[51], []]);
  });

  it('tells a failure once, lets nobody wait for ever, and goes on at the next change', async () => {
    const held = new HeldReviews();
    held.change();
    const waiting = held.loop.whenSettled();
    (await held.started()).end(new Error('disk gone'));
    await waiting;
    expect(held.failed).toEqual(['Error: disk gone']);
    held.change();
    (await held.started()).end();
    await held.loop.whenSettled();
    expect(held.settled).toEqual([2]);
  });

  it('rests when it is stopped, lets those go who wait, and goes on at the next change', async () => {
    const held = new HeldReviews();
    held.change();
    const waiting = held.loop.whenSettled();
    const first = await held.started();
    held.loop.stop();
    expect(first.signal.aborted).toBe(true);
    await waiting;
    first.end(new AbortedError());
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect([held.loop.isStopped, held.settled]).toEqual([true, []]);
    held.change();
    expect(held.loop.isStopped).toBe(false);
    (await held.started()).end();
    await held.loop.whenSettled();
    expect(held.settled).toEqual([2]);
  });

  it('goes on when it is told to, even before the stopped review has given up, and tells nothing that was stopped', async () => {
    const held = new HeldReviews();
    held.change();
    const first = await held.started();
    held.loop.stop();
    held.loop.goOn();
    first.end(new AbortedError());
    const second = await held.started();
    held.loop.stop();
    second.end(); // it ended well all the same
    await new Promise((resolve) => setTimeout(resolve, 5));
    expect(held.settled).toEqual([]);
    held.loop.goOn();
    (await held.started()).end();
    await held.loop.whenSettled();
    expect([held.settled, held.failed]).toEqual([[1], []]);
    held.loop.stop(); // nothing is under way
    expect(held.loop.isStopped).toBe(false);
  });

  it('tells nothing after it was closed', async () => {
    const held = new HeldReviews();
    held.change();
    const first = await held.started();
    held.loop.close();
    first.end();
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(held.settled).toEqual([]);
  });
});

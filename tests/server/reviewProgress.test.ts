import { CancellationTokenSource } from 'vscode-languageserver';
import { describe, expect, it } from 'vitest';
import { ReviewProgress } from '../../src/server/reviewProgress';

/** A client that writes down what it shows. */
class Shown {
  readonly told: string[] = [];
  stopped = 0;
  asked = 0;
  reading: string | undefined;
  readonly source = new CancellationTokenSource();
  readonly progress: ReviewProgress;
  answer: () => Promise<void> = () => Promise.resolve();

  constructor(patience: number) {
    this.progress = new ReviewProgress({
      title: 'Review of shop',
      patience,
      show: async () => {
        this.asked += 1;
        await this.answer();
        return {
          begin: (title: string, percentage?: number, words?: string, cancellable?: boolean) => {
            this.told.push(`${title}: ${String(percentage)} % ${words ?? ''} ${String(cancellable)}`);
          },
          report: (percentage: number | string, words?: string) => {
            this.told.push(`${String(percentage)} % ${words ?? ''}`);
          },
          done: () => {
            this.told.push('done');
          },
          token: this.source.token,
        };
      },
      reading: () => this.reading,
      stopped: () => (this.stopped += 1),
    });
  }
}

const shown = (client: Shown, count: number) => expect.poll(() => client.told.length).toBe(count);

describe('progress of a review', () => {
  it('asks for no place where the review is over before anyone waits', async () => {
    const client = new Shown(30);
    for (let round = 0; round < 3; round++) {
      client.progress.start();
      client.progress.tell('Judging a', 0.5);
      client.progress.end();
    }
    await new Promise((resolve) => setTimeout(resolve, 60));
    expect([client.asked, client.told]).toEqual([0, []]);
  });

  it('shows how far it is and never goes back, also when a newer state begins from the start', async () => {
    const client = new Shown(1);
    client.progress.start();
    client.progress.tell('Judging a', 0.256);
    await shown(client, 1);
    client.progress.start(); // the next review of the same piece of work
    client.progress.tell('Judging b', 0);
    await shown(client, 2);
    client.progress.tell('Judging b', 0);
    client.progress.tell('Reading c\u202E', 0.999);
    await shown(client, 3);
    client.progress.end();
    client.progress.tell('Judging d', 1);
    expect(client.told).toEqual([
      'Review of shop: 25 % Judging a true',
      '25 % Judging b',
      '99 % Reading c\\u{202e}',
      'done',
    ]);
  });

  it('sends the last of many messages, not all of them', async () => {
    const client = new Shown(1);
    client.progress.start();
    await shown(client, 1);
    for (let i = 0; i < 1000; i++) client.progress.tell(`Judging ${i}`, i / 1000);
    await shown(client, 2);
    expect(client.told.slice(1)).toEqual(['99 % Judging 999']);
    client.progress.end();
  });

  it('names the log that is being read, whatever was begun since', async () => {
    const client = new Shown(1);
    client.progress.start();
    client.progress.tell('Judging a', 0.5);
    await shown(client, 1);
    client.reading = 'large.testlog.csv';
    await shown(client, 2);
    client.progress.tell('Judging b', 0.6);
    await shown(client, 3);
    client.reading = undefined;
    await shown(client, 4);
    client.progress.end();
    expect(client.told.slice(1, -1)).toEqual([
      '50 % Reading large.testlog.csv',
      '60 % Reading large.testlog.csv',
      '60 % Judging b',
    ]);
  });

  it('is taken back where the review ended before the client answered, and begins anew with the next', async () => {
    const client = new Shown(1);
    let release: () => void = () => undefined;
    const held = new Promise<void>((resolve) => (release = resolve));
    client.answer = () => held;
    client.progress.start();
    await expect.poll(() => client.asked).toBe(1);
    client.progress.end();
    release();
    await shown(client, 1);
    client.progress.start();
    await shown(client, 2);
    expect(client.told).toEqual(['done', 'Review of shop: 0 % Looking at the files true']);
    client.progress.end();
  });

  it('tells once that the user stopped it, and survives a client that shows none', async () => {
    const client = new Shown(1);
    client.progress.start();
    await shown(client, 1);
    client.source.cancel();
    expect(client.stopped).toBe(1);
    client.progress.end();
    const without = new Shown(1);
    without.answer = () => Promise.reject(new Error('not here'));
    without.progress.start();
    await expect.poll(() => without.asked).toBe(1);
    without.progress.tell('Judging a', 0.5);
    without.progress.end();
    expect(without.told).toEqual([]);
  });
});

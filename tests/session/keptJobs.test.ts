import { describe, expect, it } from 'vitest';
import { AbortedError, type AbortSignalLike } from '../../src/ports/abort';
import { KeptJobs } from '../../src/session/keptJobs';

/** Jobs whose ends the test gives. */
class HeldWork {
  readonly started: { readonly signal: AbortSignalLike; end(value: string | Error): void }[] = [];
  readonly work = (signal: AbortSignalLike): Promise<string> =>
    new Promise((resolve, reject) => {
      this.started.push({
        signal,
        end: (value) => {
          if (value instanceof Error) reject(value);
          else resolve(value);
        },
      });
      signal.addEventListener('abort', () => {
        reject(new AbortedError());
      });
    });
}

describe('a job that outlives who asked for it', () => {
  it('goes on when the asker is aborted, who hears at once, and the next one joins it', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const asker = new AbortController();
    const first = jobs.run('a', '1', held.work, asker.signal);
    asker.abort();
    await expect(first).rejects.toBeInstanceOf(AbortedError);
    expect(held.started[0]!.signal.aborted).toBe(false);
    const second = jobs.run('a', '1', held.work, new AbortController().signal);
    held.started[0]!.end('read');
    expect(await second).toBe('read');
    expect(held.started).toHaveLength(1);
  });

  it('starts nothing for one who was aborted before', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    await expect(jobs.run('a', '1', held.work, AbortSignal.abort())).rejects.toBeInstanceOf(AbortedError);
    expect(held.started).toHaveLength(0);
  });

  it('serves two who ask at once, and one of them may leave', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const leaving = new AbortController();
    const both = [
      jobs.run('a', '1', held.work, leaving.signal),
      jobs.run('a', '1', held.work, new AbortController().signal),
    ];
    leaving.abort();
    held.started[0]!.end('read');
    expect((await Promise.allSettled(both)).map(({ status }) => status)).toEqual(['rejected', 'fulfilled']);
    expect(held.started).toHaveLength(1);
  });

  it('keeps what it gave until it is taken, and no longer', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const asker = new AbortController();
    const given = jobs.run('a', '1', held.work, asker.signal);
    asker.abort();
    await expect(given).rejects.toBeInstanceOf(AbortedError);
    held.started[0]!.end('read');
    await new Promise((resolve) => setTimeout(resolve, 1));
    expect(await jobs.run('a', '1', held.work, undefined)).toBe('read');
    const again = jobs.run('a', '1', held.work, undefined);
    held.started[1]!.end('read again');
    expect(await again).toBe('read again');
  });

  it('ends the job of another state of the same subject, and of one that is gone', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const first = jobs.run('a', '1', held.work, undefined);
    const second = jobs.run('a', '2', held.work, undefined);
    await expect(first).rejects.toBeInstanceOf(AbortedError);
    const other = jobs.run('b', '1', held.work, undefined);
    expect(held.started.map(({ signal }) => signal.aborted)).toEqual([true, false, false]);
    jobs.end('a');
    await expect(second).rejects.toBeInstanceOf(AbortedError);
    held.started[2]!.end('b');
    expect(await other).toBe('b');
  });

  it('names what is worked on, oldest first', async () => {
    const underWay = new Set<string>();
    const jobs = new KeptJobs<string>(underWay);
    const held = new HeldWork();
    const all = ['a', 'b', 'c', 'd'].map((name) => jobs.run(name, '1', held.work, undefined).catch(String));
    held.started[0]!.end('read');
    await all[0];
    held.started[2]!.end(new Error('disk gone'));
    await all[2];
    expect([...underWay]).toEqual(['b', 'd']);
    jobs.end('b');
    const again = jobs.run('b', '1', held.work, undefined);
    expect([...underWay]).toEqual(['d', 'b']);
    await all[1];
    expect([...underWay]).toEqual(['d', 'b']); // the older job of the same subject ended after the newer was begun
    held.started[4]!.end('b');
    expect(await again).toBe('b');
    jobs.close();
    await all[3];
    expect(underWay.size).toBe(0);
  });

  it('tells a failure to those who wait and does not keep it', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const first = jobs.run('a', '1', held.work, undefined);
    held.started[0]!.end(new Error('disk gone'));
    await expect(first).rejects.toThrow('disk gone');
    const second = jobs.run('a', '1', held.work, undefined);
    held.started[1]!.end('read');
    expect(await second).toBe('read');
  });

  it('keeps a bounded number of outcomes that nobody took, the newest ones', async () => {
    const jobs = new KeptJobs<string>(new Set(), 2);
    const work = (name: string) => () => Promise.resolve(name);
    for (const name of ['a', 'b', 'c']) {
      const asker = new AbortController();
      const given = jobs.run(name, '1', work(name), asker.signal);
      asker.abort();
      await expect(given).rejects.toBeInstanceOf(AbortedError);
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    const seen: string[] = [];
    for (const name of ['a', 'b', 'c']) seen.push(await jobs.run(name, '1', () => Promise.resolve('again'), undefined));
    expect(seen).toEqual(['again', 'b', 'c']);
  });

  it('ends everything when closed, and takes no more', async () => {
    const jobs = new KeptJobs<string>();
    const held = new HeldWork();
    const first = jobs.run('a', '1', held.work, undefined);
    jobs.close();
    await expect(first).rejects.toBeInstanceOf(AbortedError);
    expect(held.started[0]!.signal.aborted).toBe(true);
    await expect(jobs.run('a', '1', held.work, undefined)).rejects.toBeInstanceOf(AbortedError);
  });
});

import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { Offload } from '../../src/ports/services';
import type { KeptDocument } from '../../src/session/keptCells';
import type { ShareJob, Sharers } from '../../src/session/shareOut';
import type { ResultTeller } from '../../src/session/toldQueries';
import { openSession, workshopFiles } from './workshop';

const FACTS: ResultTeller<unknown> = { form: 'facts', part: ({ points, attempt }) => ({ points, attempt }) };
const original = await workshopFiles();

type Thread = Offload<ShareJob, KeptDocument>;

function sharersOf(threads: readonly Thread[]): Sharers {
  return { threads, fewest: 1, turn: () => new Promise((resolve) => setImmediate(resolve)) };
}

/** Another session on the same files, which gets and gives what would cross between threads. */
function thread(files: MemoryFiles): { readonly thread: Thread; counts(): Record<string, number> } {
  const { session } = openSession(files);
  const run = async (job: ShareJob): Promise<KeptDocument> =>
    structuredClone(await session.share(FACTS, structuredClone(job)));
  return { thread: { run }, counts: () => session.counts() };
}

async function told(files: MemoryFiles, threads: readonly Thread[]) {
  const { session } = openSession(files, threads.length === 0 ? {} : { sharers: sharersOf(threads) });
  return { outcome: await session.tell(FACTS, []), counts: session.counts() };
}

describe('a review that is shared out', () => {
  it('tells what a review by one thread tells, each result judged once', async () => {
    const files = new MemoryFiles(original);
    const [one, two] = [thread(files), thread(files)];
    const alone = await told(files, []);
    const shared = await told(files, [one.thread, two.thread]);
    expect(JSON.parse(JSON.stringify(shared.outcome))).toEqual(JSON.parse(JSON.stringify(alone.outcome)));
    const judged = [shared.counts, one.counts(), two.counts()].map((counts) => counts['judge'] ?? 0);
    expect(judged.reduce((sum, count) => sum + count, 0)).toBe(4);
    expect(judged.filter((count) => count > 0).length).toBeGreaterThan(0);
    expect(judged[0]).toBeLessThan(4);
  });

  it('does by itself what a thread failed on', async () => {
    const files = new MemoryFiles(original);
    const failing: Thread = { run: () => Promise.reject(new Error('The thread ended.')) };
    const alone = await told(files, []);
    const shared = await told(files, [failing]);
    expect(shared.outcome).toEqual(alone.outcome);
    expect(shared.counts['judge']).toBe(4);
  });

  it('uses nothing that a thread read from a file that is another by now', async () => {
    const files = new MemoryFiles(original);
    const other = new MemoryFiles(original);
    const path = Object.keys(original).find((one) => one.endsWith('two.result.csv'))!;
    other.set(path, new TextDecoder().decode(original[path]).replace(/,300,(\d)/u, ',300,9'));
    const alone = await told(files, []);
    const shared = await told(files, [thread(other).thread]);
    expect(JSON.parse(JSON.stringify(shared.outcome))).toEqual(JSON.parse(JSON.stringify(alone.outcome)));
  });
});

import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { renderText, renderTold, textTeller } from '../../src/reports/text';
import { openSession, resultOf, LOGS, textOf, workshopFiles } from './workshop';

const original = await workshopFiles();
const TWO = resultOf(LOGS.two);
const OPTIONS = { colour: false, width: 100 };
const COPIES = 24;

/** The workshop with copies of one failed result, and logs that were not fetched: more of both than are told in full. */
function crowded(): MemoryFiles {
  const files = new MemoryFiles(original);
  for (let i = 0; i < COPIES; i++)
    files.set(
      `dampers/P-1${i}/one.testlog.csv`,
      `version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize ${i}\n`,
    );
  for (let i = 0; i < COPIES; i++)
    files.set(
      `dampers/F-1${i}/build-1/two.result.csv`,
      textOf(original, TWO)
        .replace('serial: F-002', `serial: F-1${i}`)
        .replace(/^# source:.*\n/mu, ''),
    );
  return files;
}

async function told(files: MemoryFiles, store = new MemoryStore()) {
  const opened = openSession(files, { kept: { store, key: 'workshop' } });
  const outcome = await opened.session.tell(textTeller(OPTIONS), []);
  return { text: new TextDecoder().decode(renderTold(outcome, OPTIONS)), outcome, counts: opened.session.counts() };
}

async function reviewed(files: MemoryFiles): Promise<string> {
  const { session } = openSession(files);
  return renderText(await session.review([]), OPTIONS);
}

describe('a review of more results than are told in full', () => {
  it('is told as it is reviewed, and what explains a drift is sought for those alone that are told', async () => {
    const files = crowded();
    const { text, outcome, counts } = await told(files);
    expect(text).toBe(await reviewed(files));
    expect(text).toContain('told in full');
    expect(outcome.results.filter(({ verdict }) => verdict === 'fail').length).toBeGreaterThanOrEqual(COPIES);
    expect(counts['correction']).toBeLessThanOrEqual(20);
    expect(counts['correction']).toBeGreaterThan(0);
    expect(outcome.untold.reduce((sum, { count }) => sum + count, 0)).toBeGreaterThan(0);
    expect(outcome.ofFiles).toHaveLength(20);
    expect(outcome.untoldOfFiles).toEqual([{ rule: 'large-file-pointer', count: COPIES - 20 }]);
  });

  it('tells the next one in full where one before it has gone, and keeps the others', async () => {
    const files = crowded();
    const store = new MemoryStore();
    await told(files, store);
    files.remove('dampers/F-10/build-1/two.result.csv');
    const again = await told(files, store);
    expect(again.text).toBe(await reviewed(files));
    expect(again.counts['correction']).toBe(1);
  });
});

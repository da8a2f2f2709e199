import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { judgeEntries, verdictsOf } from '../../src/session/repositoryState';
import { CONFIG, logText, LOGS, openSession, resultOf, SPECS, specText, textOf, workshopFiles } from './workshop';

const REBUILT = 'dampers/F-001/build-2/rebuilt.testlog.csv';
const store = new MemoryStore();

/** Repeats of one damper, its rebuild a little softer, and a rough loop. */
async function repository(
  changes: Readonly<Record<string, string>> = {},
): Promise<Record<string, string | Uint8Array>> {
  const runs = [1.004, 0.997, 1.002].map((reboundShare, i): [string, string] => [
    `dampers/F-001/build-1/run-${i + 2}.testlog.csv`,
    logText({ serial: 'F-001', seed: 42 + i, reboundShare, more: ['setting: {R: 4}', `run: ${i + 2}`] }),
  ]);
  const rebuilt = logText({ serial: 'F-001', build: '2', seed: 50, reboundShare: 0.96 });
  return { ...(await workshopFiles()), ...Object.fromEntries(runs), [REBUILT]: rebuilt, ...changes };
}

/** Verdicts by entry: of results that were judged whole, and as they are told alone. */
async function verdictsOfBoth(changes?: Readonly<Record<string, string>>) {
  const { session } = openSession(new MemoryFiles(await repository(changes)), { store });
  const texts = await session.run(({ queries, read }) => read.get(queries.entries.entries, ''));
  const alone = await session.run((run) => verdictsOf(run, texts));
  expect(session.counts()).not.toHaveProperty('judge');
  const whole = await session.run((run) => judgeEntries(run, texts));
  return {
    alone: Object.fromEntries([...alone].map(([text, { verdict, table }]) => [text, { verdict, table }])),
    whole: Object.fromEntries([...whole].map(([text, { verdict, table }]) => [text, { verdict, table }])),
  };
}

describe('the verdict alone', () => {
  it('is that of the whole result, and so is the table, whether committed or fresh from its logs', async () => {
    const rear = resultOf(LOGS.rear);
    // The first force grows by some newtons, within tolerance: what is wrong with it is that no log gives it.
    const altered = textOf(await workshopFiles(), rear).replace(
      /^(4,100,)(\d+)/mu,
      (_, a: string, n: string) => `${a}${Number(n) + 4}`,
    );
    const { alone, whole } = await verdictsOfBoth({ [rear]: altered });
    expect(alone).toEqual(whole);
    expect(alone[`result ${rear}`]!.verdict).toBe('fail');
    const words = Object.values(alone).map(({ verdict }) => verdict);
    expect(words).toHaveLength(8);
    expect(new Set(words)).toEqual(new Set(['pass', 'fail']));
  });

  it.each([
    ['damper-review.yaml', { 'damper-review.yaml': `${CONFIG}rules: { change-significant: { level: error } }\n` }],
    ['the spec', { [SPECS.front]: `${specText('alder-front')}rules: { change-significant: { level: error } }\n` }],
  ])('looks at the build before where %s makes an error of a change', async (_, changes) => {
    const [plain, strict] = [await verdictsOfBoth(), await verdictsOfBoth(changes)];
    expect(strict.alone).toEqual(strict.whole);
    expect(plain.alone[`run ${REBUILT}`]!.verdict).toBe('pass');
    expect(strict.alone[`run ${REBUILT}`]!.verdict).toBe('fail');
  });
});

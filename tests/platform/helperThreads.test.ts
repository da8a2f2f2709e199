import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { bundled } from './bundled';
import { temporaryFolder } from './temporaryFolder';

const REPORT = `
  import { readdirSync } from 'node:fs';
  import { getPriority } from 'node:os';
  import { putHelperThreadsBehind } from './src/platform/node/helperThreads';
  const before = getPriority();
  putHelperThreadsBehind();
  const others = readdirSync('/proc/self/task').map(Number).filter((thread) => thread !== process.pid);
  console.log(JSON.stringify({ before, after: getPriority(), others: others.map((thread) => getPriority(thread)) }));
`;

interface Report {
  readonly before: number;
  readonly after: number;
  readonly others: readonly number[];
}

/** @param words what node is started by */
async function reported(...words: readonly string[]): Promise<Report> {
  const script = await bundled(temporaryFolder(), 'report', REPORT);
  const [program, ...rest] = [...words, process.execPath, script];
  const { stdout, stderr } = spawnSync(program, rest, { encoding: 'utf8' });
  if (stderr !== '') throw new Error(stderr);
  return JSON.parse(stdout) as Report;
}

it.runIf(process.platform === 'linux')('puts every thread but the main one behind it', async () => {
  const { before, after, others } = await reported();
  expect(after).toBe(before);
  expect(others.length).toBeGreaterThan(0);
  expect(new Set(others)).toEqual(new Set([Math.min(before + 5, 19)]));
});

it.runIf(process.platform === 'linux')(
  'never puts one before it where the program itself was put behind others',
  async () => {
    const { before, after, others } = await reported('nice', '-n', '17');
    expect(after).toBe(before);
    expect(new Set(others)).toEqual(new Set([19]));
  },
);

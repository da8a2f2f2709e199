import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { NodeRepositoryWriter } from '../../src/platform/node/nodeRepositoryWriter';
import { bundled } from '../platform/bundled';
import { KILLED_AT_CALL } from './killedAtCall';
import { thorough } from '../thorough';

const KILLS = thorough ? 200 : 12;
const SIZE = 300_000;

/** Writes results of one letter over and over; says on standard output when it has begun. */
const WRITER = `
import { NodeRepositoryWriter } from './src/platform/node/nodeRepositoryWriter';
const writer = new NodeRepositoryWriter(process.argv[2]);
const letter = process.argv[3];
console.log('begun');
for (let i = 0; ; i++) {
  const content = new Uint8Array(${SIZE} + i % 7).fill(letter.charCodeAt(0));
  await writer.writeAtomic('x.result.csv', content);
}`;

/** Ends its own process at the n-th call into the file system that the writer makes, as a kill there would. */
const WRITER_KILLED = `
import { NodeRepositoryWriter } from './src/platform/node/nodeRepositoryWriter';
${KILLED_AT_CALL}
const writer = new NodeRepositoryWriter(process.argv[2]);
await countCalls(Number(process.argv[3]));
await writer.writeAtomic('x.result.csv', new Uint8Array(${SIZE}).fill(98));
console.log(calls());`;

let scripts: string;
let writer: string;
let atCall: string;
beforeAll(async () => {
  scripts = mkdtempSync(join(tmpdir(), 'damper-review-faults-'));
  writer = await bundled(scripts, 'writer', WRITER);
  atCall = await bundled(scripts, 'atCall', WRITER_KILLED);
});
afterAll(() => {
  rmSync(scripts, { recursive: true });
});

function freshRoot(): string {
  return mkdtempSync(join(scripts, 'root-'));
}

function start(
  script: string,
  ...args: string[]
): { begun: Promise<void>; ended: Promise<{ code: number | null; output: string }>; kill: () => void } {
  const child = spawn(process.execPath, [script, ...args], { stdio: ['ignore', 'pipe', 'inherit'] });
  let output = '';
  const begun = new Promise<void>((resolve) => {
    child.stdout.on('data', (data: Buffer) => {
      output += data.toString();
      resolve();
    });
  });
  const ended = new Promise<{ code: number | null; output: string }>((resolve) => {
    child.on('close', (code) => {
      resolve({ code, output });
    });
  });
  return { begun, ended, kill: () => child.kill('SIGKILL') };
}

/** One letter from end to end: never the half of a write, never a mixture of two. */
function expectWhole(root: string, letters: string, sizes: readonly number[]): void {
  const content = readFileSync(join(root, 'x.result.csv'), 'utf8');
  expect(sizes).toContain(content.length);
  expect(letters).toContain(content[0]);
  expect(content).toBe(content[0]!.repeat(content.length));
}

const sizes = [...Array(7).keys()].map((i) => SIZE + i);

describe('a writer that is killed', () => {
  it('leaves the old file or the new one at whatever moment, and what it left is never read and soon gone', async () => {
    const root = freshRoot();
    writeFileSync(join(root, 'x.result.csv'), 'a'.repeat(SIZE));
    let seed = 12345;
    for (let i = 0; i < KILLS; i++) {
      const run = start(writer, root, 'b');
      await run.begun;
      seed = (seed * 1103515245 + 12345) % 2 ** 31;
      await new Promise((resolve) => setTimeout(resolve, (seed / 2 ** 31) * 30));
      run.kill();
      await run.ended;
      expectWhole(root, 'ab', sizes);
      expect((await new NodeRepositoryFiles(root).list('')).files.map((file) => file.path)).toEqual(['x.result.csv']);
    }
    await new NodeRepositoryWriter(root).writeAtomic('x.result.csv', new TextEncoder().encode('c'));
    expect(readdirSync(root)).toEqual(['x.result.csv']);
  });

  it('leaves the old file or the new one after every single call into the file system', async () => {
    const first = freshRoot();
    writeFileSync(join(first, 'x.result.csv'), 'a');
    const whole = start(atCall, first, '0');
    const calls = Number((await whole.ended).output);
    expect(calls).toBeGreaterThanOrEqual(12);
    let old = 0;
    let done = 0;
    for (let call = 1; call <= calls; call++) {
      const root = freshRoot();
      writeFileSync(join(root, 'x.result.csv'), 'a'.repeat(SIZE));
      const { code } = await start(atCall, root, String(call)).ended;
      expect(code).toBeNull();
      expectWhole(root, 'ab', [SIZE]);
      if (readFileSync(join(root, 'x.result.csv'), 'utf8').startsWith('a')) old += 1;
      else done += 1;
      expect((await new NodeRepositoryFiles(root).list('')).files.map((file) => file.path)).toEqual(['x.result.csv']);
      await new NodeRepositoryWriter(root).writeAtomic('x.result.csv', new TextEncoder().encode('again'));
      expect(readdirSync(root)).toEqual(['x.result.csv']);
    }
    expect(old).toBeGreaterThan(5);
    expect(done).toBeGreaterThan(0);
  });
});

describe('two writers at once', () => {
  it('give one or the other, whole at every look', async () => {
    const root = freshRoot();
    const runs = [start(writer, root, 'b'), start(writer, root, 'c')];
    await Promise.all(runs.map((run) => run.begun));
    const seen = new Set<string>();
    const looks = 20 * KILLS;
    for (let i = 0; i < looks; i++) {
      await new Promise((resolve) => setTimeout(resolve, 2));
      if (!readdirSync(root).includes('x.result.csv')) continue;
      expectWhole(root, 'bc', sizes);
      seen.add(readFileSync(join(root, 'x.result.csv'), 'utf8')[0]!);
    }
    for (const run of runs) run.kill();
    await Promise.all(runs.map((run) => run.ended));
    expectWhole(root, 'bc', sizes);
    expect([...seen].sort()).toEqual(['b', 'c']);
  });
});

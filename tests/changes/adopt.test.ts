import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { carryOut, planAdoption, type AdoptionPlan } from '../../src/changes/adopt';
import { readForceTable } from '../../src/files/readForceTable';
import { fixedClock, MemoryStore } from '../../src/platform/memory/memoryServices';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { NodeRepositoryWriter } from '../../src/platform/node/nodeRepositoryWriter';
import { renderAdoption } from '../../src/reports/adoptionText';
import { ReviewSession } from '../../src/session/reviewSession';
import { KILLED_AT_CALL } from '../faults/killedAtCall';
import { bundled } from '../platform/bundled';
import { ScriptedGit } from '../repositories/scriptedGit';
import { LOGS, logText, REFERENCES, resultOf, SPECS, textOf, TODAY, workshopFiles } from '../session/workshop';
import { thorough } from '../thorough';

const store = new MemoryStore();
let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'damper-adopt-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

type Files = Readonly<Record<string, string | Uint8Array | null>>;

async function workshopGit(changes: Files = {}): Promise<ScriptedGit> {
  const git = new ScriptedGit(mkdtempSync(join(folder, 'git-'))).init();
  git.put(await workshopFiles()).commit('first', changes);
  return git;
}

async function adopting<Result>(
  { folder: root }: ScriptedGit,
  work: (parts: Parameters<typeof planAdoption>[0], writer: NodeRepositoryWriter) => Promise<Result>,
): Promise<Result> {
  const files = new NodeRepositoryFiles(root);
  const session = new ReviewSession({
    files,
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock(TODAY),
    store,
  });
  const revisions = await GitRevisions.open(root);
  try {
    return await work({ session, work: files, revisions }, new NodeRepositoryWriter(root));
  } finally {
    await revisions.close();
  }
}

const plan = (git: ScriptedGit, paths: readonly string[], reason = 'First approved unit'): Promise<AdoptionPlan> =>
  adopting(git, (parts) => planAdoption(parts, paths, reason));

async function refused(work: Promise<unknown>): Promise<string> {
  try {
    await work;
    return 'no fault';
  } catch (error) {
    const { message, remedy } = error as { message: string; remedy?: string };
    return `${message} ${remedy ?? ''}`;
  }
}

describe('adopting a result', () => {
  it('makes it the reference, says so in the preamble, and shows beforehand every verdict that turns', async () => {
    const git = await workshopGit();
    const planned = await plan(git, [resultOf(LOGS.two)], 'Softer: agreed with the driver');
    expect(planned.preview.map(({ file, before, after }) => [file, before, after])).toEqual([
      [resultOf(LOGS.one), 'pass', 'fail'],
      [resultOf(LOGS.two), 'fail', 'pass'],
      [resultOf(LOGS.foreign), 'pass', 'fail'],
    ]);
    expect(readFileSync(join(git.folder, REFERENCES.front), 'utf8')).toBe(
      textOf(await workshopFiles(), REFERENCES.front),
    );
    const text = renderAdoption(planned, { colour: false, width: 100 });
    expect(text).toContain('3 verdicts of 3 turn');
    expect(text).toContain('pass to fail: F-001 build 1 FAIL');
    expect(text).toMatch(/high\s+pressure/); // the caution
    await adopting(git, async (parts, writer) => {
      await carryOut(parts, await planAdoption(parts, [resultOf(LOGS.two)], 'Softer: agreed with the driver'), writer);
    });
    const bytes = readFileSync(join(git.folder, REFERENCES.front));
    const { table, problems } = readForceTable(REFERENCES.front, bytes);
    expect(problems).toEqual([]);
    expect(table!.adopted).toEqual({ from: [resultOf(LOGS.two)], on: TODAY, reason: 'Softer: agreed with the driver' });
    expect(git.git('status', '--porcelain')).toBe(`M ${REFERENCES.front}`);
    // What was adopted shows no drift against itself, beyond the rounding of the file.
    const own = planned.preview.find(({ file }) => file === resultOf(LOGS.two))!.result;
    expect(Math.max(...own.points.map(({ drift }) => Math.abs(drift!)))).toBeLessThanOrEqual(0.11);
    // A second one waits for the first to be committed.
    expect(await refused(plan(git, [resultOf(LOGS.one)]))).toContain(`Not committed: ${REFERENCES.front}`);
    git.commit('adopt');
    expect((await plan(git, [resultOf(LOGS.one)])).preview[0]).toMatchObject({ before: 'fail', after: 'pass' });
  });

  it('takes the mean of several, point by point', async () => {
    const git = await workshopGit();
    const paths = [resultOf(LOGS.one), resultOf(LOGS.two)];
    const planned = await plan(git, paths, 'Mean of two units');
    const mean = readForceTable(REFERENCES.front, planned.bytes).table!;
    const sources = paths.map((path) => readForceTable(path, readFileSync(join(git.folder, path))).table!);
    expect(mean.adopted?.from).toEqual(paths);
    expect(mean.rows).toHaveLength(3);
    mean.rows.forEach((row, i) => {
      for (const side of ['compression', 'rebound'] as const) {
        const expected = (sources[0]!.rows[i]![side] + sources[1]!.rows[i]![side]) / 2;
        // Achieved and planned speed differ by a little, which moves the force along the curve by less than 1 %.
        expect(Math.abs(row[side] - expected)).toBeLessThan(0.01 * Math.abs(expected) + 0.1);
      }
    });
  });

  it('refuses what is not sound, not committed, or not of one kind, and writes nothing', async () => {
    const git = await workshopGit();
    const one = resultOf(LOGS.one);
    for (const [paths, reason, words] of [
      [[one], ' ', 'needs a reason'],
      [[one], 'two\nlines', 'one line'],
      [[one], 'x'.repeat(600), '500 characters'],
      [[LOGS.one], 'x', 'is no result'],
      [[SPECS.front], 'x', 'is no result'],
      [['gone.result.csv'], 'x', 'is no result'],
      [[one, resultOf(LOGS.rear)], 'x', 'is of spec birch-rear'],
      [[one, resultOf(LOGS.foreign)], 'x', 'midPosition differs'],
    ] as const)
      expect(await refused(plan(git, paths, reason)), words).toContain(words);
    git.put({ [one]: textOf(await workshopFiles(), one).replace(/,(\d+)\.\d,/u, ',$1.9,') });
    expect(await refused(plan(git, [one]))).toContain(`Not committed: ${one}`);
    git.commit('edited by hand');
    expect(await refused(plan(git, [one]))).toContain('result-altered');
    const stale = await workshopGit({
      [one]: textOf(await workshopFiles(), one).replace('# method: 1', '# method: 7'),
    });
    expect(await refused(plan(stale, [one]))).toContain('result-stale');
    const bare = await workshopGit({
      [SPECS.front]: textOf(await workshopFiles(), SPECS.front).replace(/^reference:.*\n/mu, ''),
    });
    expect(await refused(plan(bare, [one]))).toContain('reference: alder-front.refcurve.csv');
    expect(git.git('status', '--porcelain')).toBe('');
  });

  it('refuses loops that show a fault, whatever the curve says', async () => {
    const one = resultOf(LOGS.one);
    const git = await workshopGit({
      [LOGS.one]: logText({ serial: 'F-001', seed: 1, faults: { voids: { rebound: 0.004 } } }),
    });
    await adopting(git, async (parts, writer) => {
      for (const { path, bytes } of (await parts.session.reduce([LOGS.one])).written)
        await writer.writeAtomic(path, bytes);
    });
    git.commit('reduced again');
    expect(await refused(plan(git, [one]))).toContain('loop-void');
  });

  it('writes nothing where the curves changed after the preview', async () => {
    const git = await workshopGit();
    await adopting(git, async (parts, writer) => {
      const planned = await planAdoption(parts, [resultOf(LOGS.two)], 'x');
      git.put({ [REFERENCES.front]: 'somebody else was here\n' });
      expect(await refused(carryOut(parts, planned, writer))).toContain('changed meanwhile');
    });
    expect(readFileSync(join(git.folder, REFERENCES.front), 'utf8')).toBe('somebody else was here\n');
  });
});

/** Ends its own process at the n-th call into the file system after the plan is made, as a kill there would. */
const SCRIPT = `
import { carryOut, planAdoption } from './src/changes/adopt';
import { GitRevisions } from './src/platform/node/gitRevisions';
import { nodeDigest } from './src/platform/node/nodeDigest';
import { nodeGunzip } from './src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from './src/platform/node/nodeRepositoryFiles';
import { NodeRepositoryWriter } from './src/platform/node/nodeRepositoryWriter';
import { ReviewSession } from './src/session/reviewSession';
${KILLED_AT_CALL}
const [, , root, result, at] = process.argv;
const files = new NodeRepositoryFiles(root);
const session = new ReviewSession({ files, digest: nodeDigest, gunzip: nodeGunzip(), clock: { today: () => '${TODAY}' } });
const revisions = await GitRevisions.open(root);
const plan = await planAdoption({ session, work: files, revisions }, [result], 'Killed');
await revisions.close();
const writer = new NodeRepositoryWriter(root);
await countCalls(Number(at));
await carryOut({ session }, plan, writer);
console.log(calls());`;

function run(script: string, ...args: readonly string[]): Promise<{ code: number | null; output: string }> {
  const child = spawn(process.execPath, [script, ...args], { stdio: ['ignore', 'pipe', 'ignore'] });
  let output = '';
  child.stdout.on('data', (data: Buffer) => (output += data.toString()));
  return new Promise((resolve) => {
    child.on('close', (code) => {
      resolve({ code, output });
    });
  });
}

describe('a killed adoption', () => {
  it('leaves the repository as it was or done, after every call, and two at once leave one of both', async () => {
    const script = await bundled(folder, 'adopt', SCRIPT);
    const git = await workshopGit();
    const path = join(git.folder, REFERENCES.front);
    const before = readFileSync(path, 'utf8');
    const whole = await run(script, git.folder, resultOf(LOGS.two), '0');
    const after = readFileSync(path, 'utf8');
    expect(after).toContain('reason: Killed');
    const calls = Number(whole.output);
    expect(calls).toBeGreaterThanOrEqual(12);
    const step = thorough ? 1 : 4;
    const seen = new Set<string>();
    for (let call = 1; call <= calls; call += call + step > calls && call < calls ? calls - call : step) {
      git.git('checkout', '-q', '--', '.');
      expect((await run(script, git.folder, resultOf(LOGS.two), String(call))).code).toBe(null);
      const now = readFileSync(path, 'utf8');
      expect([before, after]).toContain(now);
      seen.add(now === before ? 'as it was' : 'done');
      const files = (await new NodeRepositoryFiles(git.folder).list('')).files.map((file) => file.path);
      expect(files.sort()).toEqual(Object.keys(await workshopFiles()).sort()); // the hidden rest of a write is no file of the repository
    }
    expect([...seen].sort()).toEqual(['as it was', 'done']);
    git.git('checkout', '-q', '--', '.');
    await Promise.all([resultOf(LOGS.one), resultOf(LOGS.two)].map((result) => run(script, git.folder, result, '0')));
    const { table, problems } = readForceTable(REFERENCES.front, readFileSync(path));
    expect(problems).toEqual([]);
    expect([resultOf(LOGS.one), resultOf(LOGS.two)]).toContain(table!.adopted!.from[0]);
    expect(readdirSync(join(git.folder, 'specs')).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });
});

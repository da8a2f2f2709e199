import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { ReviewSession } from '../../src/session/reviewSession';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import {
  LOGS,
  logText,
  openSession,
  resultOf,
  SPECS,
  specText,
  textOf,
  told,
  workshopFiles,
  type LogParts,
  type Opened,
} from './workshop';

/** Runs of F-001 build 1 besides the one that is there, each with scatter of its own. */
const RUNS = [2, 3, 4].map((run) => `dampers/F-001/build-1/run-${run}.testlog.csv`);
const SHARES = [1.004, 0.997, 1.002];

function aRun(run: number, more: Partial<LogParts> = {}, lines: readonly string[] = []): string {
  return logText({
    serial: 'F-001',
    seed: 40 + run,
    reboundShare: SHARES[run - 2]!,
    date: `2026-03-0${run}T10:00:00Z`,
    more: ['setting: {R: 4}', `run: ${run}`, ...lines],
    ...more,
  });
}

const REPEATS = Object.fromEntries(RUNS.map((path, i) => [path, aRun(i + 2)]));

/** Logs that several cases share are reduced once. */
const store = new MemoryStore();
async function open(changes: Readonly<Record<string, string>> = {}): Promise<Opened> {
  return openSession(new MemoryFiles({ ...(await workshopFiles()), ...changes }), { store });
}

async function countsOf(session: ReviewSession, files: MemoryFiles, change: Record<string, string | Uint8Array>) {
  const before = session.counts();
  for (const [path, content] of Object.entries(change)) files.set(path, content);
  session.invalidate(Object.keys(change));
  const outcome = await session.review([]);
  const counts = Object.fromEntries(
    Object.entries(session.counts()).map(([name, count]) => [name, count - (before[name] ?? 0)]),
  );
  return { outcome, counts };
}

describe('repeats', () => {
  it('widen what is judged with, of their own spec, and no result file', async () => {
    const without = await (await open()).session.review([]);
    const { session, files } = await open(REPEATS);
    const outcome = await session.review([]);
    const one = (file: string) => [without, outcome].map((o) => o.results.find((r) => r.file === file)!);
    for (const file of [resultOf(LOGS.one), resultOf(LOGS.two)]) {
      const [alone, repeated] = one(file);
      expect(repeated!.runToRun).toMatchObject({
        runs: 4,
        units: 1,
        from: 'spec',
        covariance: { degreesOfFreedom: 3 },
      });
      const relative = repeated!.runToRun!.spread.rebound!.relative;
      expect(relative).toBeGreaterThan(0.001);
      repeated!.points.forEach((point, i) => {
        const own = alone!.points[i]!;
        const u = point.side === 'rebound' ? relative : repeated!.runToRun!.spread.compression!.relative;
        expect(point.runToRun).toEqual({ u: u * Math.abs(point.damping!), df: 3 });
        // U/k of both parts add in squares (JCGM 100:2008, 5.1.2).
        const expected = Math.hypot(own.uncertainty / own.coverageFactor, point.runToRun!.u);
        expect(point.uncertainty / point.coverageFactor).toBeCloseTo(expected, 9);
        expect(repeated!.table).toEqual(alone!.table);
      });
    }
    const [rearAlone, rear] = one(resultOf(LOGS.rear));
    expect(rear!.runToRun).toBeUndefined();
    expect(rear!.points).toEqual(rearAlone!.points);
    expect(told(outcome, 'result-stale', 'result-altered')).toEqual([]);
    const { written } = await session.reduce([LOGS.one, LOGS.two]);
    for (const { path, bytes } of written)
      expect(new TextDecoder().decode(bytes)).toBe(textOf(await allOf(files), path));
  });

  it('count once a run, by its last test, remounted, of one bench and setting', async () => {
    const cases: readonly (readonly [string, string])[] = [
      ['a retest of a run', aRun(3, { date: '2026-03-09T10:00:00Z' }, ['retest: {of: 2026-03-03, reason: "slipped"}'])],
      ['a run that stayed mounted', aRun(4, {}, ['sameMounting: true'])],
      ['another setting', aRun(4, { more: ['setting: {R: 5}', 'run: 4'] })],
      ['another build', aRun(4, { build: '2' })],
      ['another bench', aRun(4).replace('bench: bench-1', 'bench: bench-2')],
    ];
    for (const [name, text] of cases) {
      const { session } = await open({ ...REPEATS, [RUNS[2]!]: text });
      const outcome = await session.review([]);
      expect([name, outcome.results.find((r) => r.file === resultOf(LOGS.one))!.runToRun?.runs]).toEqual([name, 3]);
    }
    const two = await open({ [RUNS[0]!]: REPEATS[RUNS[0]!]! });
    expect((await two.session.review([])).results.every((r) => r.runToRun === undefined)).toBe(true);
  });

  it('of the check standard stand in for a spec without its own', async () => {
    const standard = Object.fromEntries(
      [1, 2, 3, 4].map((day) => [
        `bench/day-${day}.testlog.csv`,
        logText({
          serial: 'CS',
          spec: 'ash-check',
          seed: 60 + day,
          reboundShare: 1 + 0.003 * (day % 2),
          date: `2026-02-0${day}`,
        }),
      ]),
    );
    const spec = { 'specs/ash-check.damper.yaml': `${specText('ash-check')}role: checkStandard\n` };
    const borrowed = await open({ ...standard, ...spec });
    const outcome = await borrowed.session.review([]);
    const one = outcome.results.find((r) => r.file === resultOf(LOGS.one))!;
    expect(one.runToRun).toMatchObject({ from: 'check standard', runs: 4, units: 1 });
    const own = await open({ ...standard, ...spec, ...REPEATS });
    const again = (await own.session.review([])).results.find((r) => r.file === resultOf(LOGS.one))!;
    expect(again.runToRun).toMatchObject({ from: 'spec', runs: 4 });
    const product = await open({ ...standard, ...spec, 'specs/ash-check.damper.yaml': specText('ash-check') });
    expect(
      (await product.session.review([])).results.find((r) => r.file === resultOf(LOGS.one))!.runToRun,
    ).toBeUndefined();
  });

  it('reduce one log again where one of them changes, and judge their spec alone', async () => {
    const { session, files } = await open(REPEATS);
    await session.review([]);
    const { counts } = await countsOf(session, files, { [RUNS[1]!]: aRun(3, { seed: 99 }) });
    // Judged anew: the four runs of F-001, F-002 and F-003 of that spec; not the rear one.
    expect(counts).toMatchObject({ 'reduce log': 1, 'analyse run': 1, 'measured table': 1, 'run to run': 1, judge: 6 });
    const comment = await countsOf(session, files, { [RUNS[1]!]: `# nothing new\n${aRun(3, { seed: 99 })}` });
    // Other bytes, the same numbers: the scatter comes out as before, and nobody who reads it is judged again.
    expect(comment.counts).toMatchObject({ 'reduce log': 1, 'run to run': 1, judge: 1 });
  });
});

describe('a build against the build before', () => {
  const SECOND = 'dampers/F-002/build-2/two.testlog.csv';
  const rebuilt = (reboundShare: number, parts: Partial<LogParts> = {}): string =>
    logText({ serial: 'F-002', build: '2', seed: 50, date: '2026-04-01T09:00:00Z', reboundShare, ...parts });

  it('is told apart by the test that compare uses, and noted', async () => {
    const { session } = await open({ ...REPEATS, [SECOND]: rebuilt(1) });
    const outcome = await session.review([]);
    expect(told(outcome, 'change-significant')).toEqual([`change-significant ${SECOND}:10`]);
    const note = outcome.findings.find((finding) => finding.rule === 'change-significant')!;
    expect(note.message).toContain('F-002 build 2: changed since build 1: compression');
    expect(note.evidence).toMatchObject({ since_build: '1', since_file: resultOf(LOGS.two), runs: 4, dampers: 1 });
    const { change, mean, statement } = await session.compare('F-002/1', 'F-002/2');
    const judged = outcome.results.find((r) => r.file === SECOND)!.change!;
    expect(judged).toMatchObject({ ...change });
    expect(judged.mean).toEqual(mean);
    expect(statement).toMatch(
      /^Significant: the builds differ by more than runs without a rebuild do \(Hotelling's T2/,
    );
    expect(statement).toContain('4 complete runs of 1 damper');
  });

  it('is not said to have changed where it has not, on another bench, or without repeats', async () => {
    const same = await open({ ...REPEATS, [SECOND]: rebuilt(0.8) });
    const outcome = await same.session.review([]);
    expect(told(outcome, 'change-significant')).toEqual([]);
    expect(outcome.results.find((r) => r.file === SECOND)!.change).toMatchObject({ significant: false, bench: 'same' });
    const { statement } = await same.session.compare('F-002/1', 'F-002/2');
    expect(statement).toMatch(/^Not significant: .* That does not show that nothing changed\./);

    const benchTwo = rebuilt(1).replace('bench: bench-1', 'bench: bench-2');
    const elsewhere = await open({ ...REPEATS, [SECOND]: benchTwo });
    expect(told(await elsewhere.session.review([]), 'change-significant')).toEqual([]);
    const across = await elsewhere.session.compare('F-002/1', 'F-002/2');
    expect(across.change).toMatchObject({ significant: true, bench: 'other bench' });
    expect(across.statement).toContain('The benches are two, and that is not in the scatter of repeats');

    const config = textOf(await allOf(same.files), 'damper-review.yaml');
    const calibrated = await open({
      ...REPEATS,
      [SECOND]: rebuilt(1),
      'damper-review.yaml': config.replace('displacementU', 'calibrated: 2026-03-15, displacementU'),
    });
    const between = await calibrated.session.compare('F-002/1', 'F-002/2');
    expect(between.change).toMatchObject({ significant: true, bench: 'calibrated between' });
    expect(between.basis.join('\n')).toContain('Bench bench-1 was calibrated on 2026-03-15, between the two tests');
    expect(told(await calibrated.session.review([]), 'change-significant')).toEqual([]);

    const bare = await open({ [SECOND]: rebuilt(1) });
    expect(told(await bare.session.review([]), 'change-significant')).toEqual([]);
    const alone = await bare.session.compare('F-002/1', 'F-002/2');
    expect(alone.change).toBeUndefined();
    expect(alone.statement).toMatch(/^More than the scatter between cycles .* Remounting/);
  });

  it('is the one with the number before, whatever its day, and the last test of it', async () => {
    const { session } = await open({
      ...REPEATS,
      'dampers/F-002/build-10/x.testlog.csv': rebuilt(1, { build: '10', date: '2026-02-01' }),
      'dampers/F-002/build-9/x.testlog.csv': rebuilt(1, { build: '9', date: '2026-05-01' }),
      'dampers/F-002/build-9/y.testlog.csv': rebuilt(1, { build: '9', date: '2026-05-02', seed: 51 }),
    });
    const { results } = await session.review([]);
    const since = Object.fromEntries(results.map((r) => [r.file, r.change?.since.file]));
    expect(since['dampers/F-002/build-10/x.testlog.csv']).toBe('dampers/F-002/build-9/y.testlog.csv');
    expect(since['dampers/F-002/build-9/y.testlog.csv']).toBe(resultOf(LOGS.two));
    expect(since['dampers/F-002/build-9/x.testlog.csv']).toBeUndefined();
    expect(since[resultOf(LOGS.two)]).toBeUndefined();
  });

  it('is not tested against the scatter that it is part of', async () => {
    const { session } = await open(REPEATS);
    const runs = await session.compare(RUNS[0]!, RUNS[1]!);
    expect(runs.change).toBeUndefined();
    expect(runs.statement).not.toContain('Hotelling');
    const specs = await session.compare('F-002/1', 'R-001/1');
    expect([specs.change, SPECS.rear]).toEqual([undefined, SPECS.rear]);
  });
});

async function allOf(files: MemoryFiles): Promise<Readonly<Record<string, Uint8Array>>> {
  const { files: list } = await files.list('');
  return Object.fromEntries(await Promise.all(list.map(async ({ path }) => [path, await files.read(path)] as const)));
}

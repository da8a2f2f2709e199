import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { readForceTable } from '../../src/files/readForceTable';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import type { ReduceOutcome } from '../../src/session/reviewSession';
import { SessionFault } from '../../src/session/sessionFault';
import { CONFIG, LOGS, logText, openSession, openWorkshop, resultOf, specText, told, workshopFiles } from './workshop';

const written = (outcome: ReduceOutcome): string[] => outcome.written.map(({ path }) => path);
const text = (bytes: Uint8Array | undefined): string => new TextDecoder().decode(bytes);

/** A sweep of one unit in two logs, with a static log, out of order by name. */
const SWEEP = {
  'dampers/F-005/build-1/b-first.testlog.csv': logText({
    serial: 'F-005',
    seed: 11,
    date: '2026-03-01T10:00:00Z',
    more: ['kind: sweep', 'setting: {R: 2}'],
  }),
  'dampers/F-005/build-1/a-second.testlog.csv': logText({
    serial: 'F-005',
    seed: 12,
    date: '2026-03-01T12:30:00+02:00',
    more: ['kind: sweep', 'setting: {R: 6}'],
  }),
  'dampers/F-005/build-1/gas.testlog.csv': logText({
    serial: 'F-005',
    seed: 13,
    date: '2026-03-01T08:00:00Z',
    more: ['kind: static'],
  }),
};

describe('reducing logs', () => {
  it('gives the committed bytes again, whatever the chunks and the order', async () => {
    const original = await workshopFiles();
    for (const chunk of [997, 65_536]) {
      const { session } = openSession(new MemoryFiles(original, chunk));
      const outcome = await session.reduce(['incoming', LOGS.two, 'dampers/F-001', resultOf(LOGS.rear)]);
      expect(outcome.problems).toEqual([]);
      expect(written(outcome)).toEqual(Object.values(LOGS).map(resultOf).sort());
      for (const { path, bytes } of outcome.written) expect(text(bytes)).toBe(text(original[path]));
    }
  });

  it('reduces what is named and no more', async () => {
    const { session } = await openWorkshop();
    expect(written(await session.reduce([LOGS.two]))).toEqual([resultOf(LOGS.two)]);
    await expect(session.reduce(['specs'])).rejects.toBeInstanceOf(SessionFault);
    await expect(session.reduce(['nowhere'])).rejects.toBeInstanceOf(SessionFault);
  });

  it('gives a packed log the result of the plain one, but for its digest', async () => {
    const log = logText({ serial: 'F-006', seed: 6 });
    const plain = await (await openWorkshop({ 'x/y.testlog.csv': log })).session.reduce(['x']);
    const packed = await (await openWorkshop({ 'x/y.testlog.csv.gz': gzipSync(log) })).session.reduce(['x']);
    const rest = (outcome: ReduceOutcome): string => text(outcome.written[0]!.bytes).replace(/^# source:.*$/mu, '');
    expect(written(packed)).toEqual(['x/y.result.csv']);
    expect(rest(packed)).toBe(rest(plain));
  });

  it('takes the sweeps of one unit as one run, in the order of their dates, with its static logs', async () => {
    const { session } = await openWorkshop(SWEEP);
    const outcome = await session.reduce(['dampers/F-005/build-1/a-second.testlog.csv']);
    expect(written(outcome)).toEqual(['dampers/F-005/build-1/a-second.result.csv']);
    const { table } = readForceTable('a.result.csv', outcome.written[0]!.bytes);
    expect(table?.result?.source.map(({ path }) => path.split('/').at(-1))).toEqual([
      'b-first.testlog.csv',
      'a-second.testlog.csv',
      'gas.testlog.csv',
    ]);
    expect(table?.rows.map((row) => row.setting[0])).toEqual([2, 2, 2, 6, 6, 6]);
    const review = await session.review(['dampers/F-005']);
    expect(review.results.map((result) => [result.file, result.logs.length])).toEqual([
      ['dampers/F-005/build-1/a-second.testlog.csv', 3],
    ]);
  });

  it('knows by the set of logs when a run has grown or shrunk', async () => {
    const { session, files } = await openWorkshop(SWEEP);
    const [result] = (await session.reduce(['dampers/F-005'])).written;
    files.set(result!.path, result!.bytes);
    session.invalidate([result!.path]);
    expect(told(await session.review(['dampers/F-005']), 'result-stale', 'result-altered', 'result-unsourced')).toEqual(
      [],
    );
    const third = 'dampers/F-005/build-1/c-third.testlog.csv';
    files.set(
      third,
      logText({ serial: 'F-005', seed: 14, date: '2026-03-01T14:00:00Z', more: ['kind: sweep', 'setting: {R: 8}'] }),
    );
    session.invalidate([third]);
    const grown = await session.review(['dampers/F-005']);
    expect(grown.results).toHaveLength(1);
    expect(grown.findings.find((finding) => finding.rule === 'result-stale')?.message).toContain(third);
    files.remove(third);
    files.remove('dampers/F-005/build-1/gas.testlog.csv');
    session.invalidate([third, 'dampers/F-005/build-1/gas.testlog.csv']);
    expect(told(await session.review(['dampers/F-005']), 'result-unsourced')).toHaveLength(1);
  });

  it('refuses a run with a log that cannot be read, and says the place; the other runs are written', async () => {
    const broken = 'dampers/F-005/build-1/b-first.testlog.csv';
    const lines = SWEEP[broken].split('\n');
    lines[100] = 'not a number,1,2';
    const { session } = await openWorkshop({ ...SWEEP, [broken]: lines.join('\n') });
    const outcome = await session.reduce(['dampers']);
    expect(written(outcome)).toEqual([LOGS.one, LOGS.two, LOGS.rear].map(resultOf));
    expect(outcome.problems.map(({ file, position }) => `${file}:${position.line}`)).toContain(`${broken}:101`);
    expect(outcome.problems.every(({ next }) => next !== '')).toBe(true);
  });

  it('refuses logs of other kinds by name, and two results of one name', async () => {
    const { session } = await openWorkshop({
      'x/hot.testlog.csv': logText({ serial: 'F-007', seed: 1, more: ['kind: endurance'] }),
      'incoming/F-008/1/same.csv': 't;way;load\n0;0;0\n',
      'y/same.testlog.csv': logText({ serial: 'F-008', seed: 2 }),
      'y/same.testlog.tsv': logText({ serial: 'F-008', seed: 3 }).replaceAll(/^([^#].*)$/gmu, (line) =>
        line.replaceAll(',', '\t'),
      ),
    });
    const hot = await session.reduce(['x/hot.testlog.csv']);
    expect([written(hot), hot.problems.length]).toEqual([[], 1]);
    const same = await session.reduce(['y']);
    expect([written(same), same.problems.map(({ message }) => message.includes('y/same.result.csv'))]).toEqual([
      [],
      [true],
    ]);
  });

  it('refuses a log without two cycles in a row', async () => {
    const lines = logText({ serial: 'F-010', seed: 5 }).split('\n');
    const header = lines.findIndex((line) => line.startsWith('time'));
    const { session } = await openWorkshop({ 'x/short.testlog.csv': `${lines.slice(0, header + 300).join('\n')}\n` });
    const outcome = await session.reduce(['x']);
    expect([written(outcome), outcome.problems.map(({ file }) => file)]).toEqual([[], ['x/short.testlog.csv']]);
    expect((await session.review(['x'])).verdict).toBe('undecided');
  });

  it('refuses a log that does not say which damper it is of or by which spec, and says what to add; check still shows it', async () => {
    const whole = logText({ serial: 'F-011', seed: 5 });
    const bare = whole.replace(/^# (?:spec|serial|build|bench|setting).*\n/gmu, '');
    const { session } = openSession(new MemoryFiles({ 'x.testlog.csv': bare }));
    const outcome = await session.reduce(['']);
    expect(written(outcome)).toEqual([]);
    expect(told({ findings: outcome.problems })).toEqual(['file-invalid x.testlog.csv:1']);
    expect(outcome.problems[0]!.message).toContain('does not state its spec, serial and build');
    expect(outcome.problems[0]!.next).toContain('`# spec: ...`, `# serial: ...` and `# build: ...`');
    const review = await session.review([]);
    expect([review.verdict, review.unreadable, review.results.length]).toEqual(['undecided', false, 1]);
    expect(told(review, 'spec-missing')).toHaveLength(1);
    for (const key of ['spec', 'serial', 'build']) {
      const without = whole.replace(new RegExp(`^# ${key}: .*\\n`, 'mu'), '');
      const one = await openSession(new MemoryFiles({ 'x.testlog.csv': without })).session.reduce(['']);
      expect([written(one), one.problems.map(({ message }) => message.includes(`its ${key},`))]).toEqual([[], [true]]);
    }
    const benchless = whole.replace(/^# bench.*\n/mu, '');
    expect(written(await openSession(new MemoryFiles({ 'x.testlog.csv': benchless })).session.reduce(['']))).toEqual([
      'x.result.csv',
    ]);
  });

  it('writes nothing of the clock, the session or the order of work', async () => {
    const files = new MemoryFiles(await workshopFiles());
    const one = await openSession(files).session.reduce(['']);
    const other = openSession(files, { clock: { today: () => '2031-01-01' } });
    await other.session.review([LOGS.rear]);
    const two = await other.session.reduce(['']);
    expect(two.written.map(({ bytes }) => text(bytes))).toEqual(one.written.map(({ bytes }) => text(bytes)));
  });

  it('leaves a second run nothing to do', async () => {
    const { session, files } = await openWorkshop();
    const first = await session.reduce(['']);
    for (const { path, bytes } of first.written) files.set(path, bytes);
    session.invalidate(first.written.map(({ path }) => path));
    const counted = session.counts();
    expect((await session.reduce([''])).written.map(({ bytes }) => text(bytes))).toEqual(
      first.written.map(({ bytes }) => text(bytes)),
    );
    expect(session.counts()).toMatchObject({
      'reduce log': counted['reduce log'],
      'analyse run': counted['analyse run'],
      'measured table': counted['measured table'],
    });
  });
});

describe('the configuration of a repository', () => {
  it('may be absent', async () => {
    const { session } = openSession(
      new MemoryFiles({
        'a.testlog.csv': logText({ serial: 'F-001', seed: 1 }),
        'alder-front.damper.yaml': specText('alder-front'),
      }),
    );
    expect((await session.review([])).results.map((result) => [result.specId, result.verdict])).toEqual([
      ['alder-front', 'undecided'],
    ]);
  });

  it('counts at the root alone', async () => {
    const { session } = openSession(
      new MemoryFiles({ 'deep/damper-review.yaml': CONFIG, 'deep/incoming/F-1/1/x.csv': 't;way;load\n' }),
    );
    expect((await session.review([])).findings).toEqual([]);
  });
});

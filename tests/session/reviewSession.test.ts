import { describe, expect, it } from 'vitest';
import { AbortedError } from '../../src/ports/abort';
import { deepEqual } from '../../src/session/deepEqual';
import { SessionFault } from '../../src/session/sessionFault';
import {
  CONFIG,
  foreignLogText,
  LOGS,
  logText,
  openSession,
  openWorkshop,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  told,
  verdicts,
  workshopFiles,
} from './workshop';

const ALL = {
  [resultOf(LOGS.one)]: 'pass',
  [resultOf(LOGS.two)]: 'fail',
  [resultOf(LOGS.rear)]: 'pass',
  [resultOf(LOGS.foreign)]: 'pass',
};

describe('reviewing the workshop', () => {
  it('judges every result and says nothing else of a clean repository', async () => {
    const { session } = await openWorkshop();
    const outcome = await session.review([]);
    expect(verdicts(outcome)).toEqual(ALL);
    expect(told(outcome)).toEqual([
      `drift-from-reference ${resultOf(LOGS.two)}:20`,
      `test-basis-differs ${resultOf(LOGS.foreign)}:15`, // its mapping says nothing of the mid position
    ]);
    expect(outcome.unreadable).toBe(false);
    expect(outcome.results.map((result) => result.attempt)).toEqual([1, 1, 1, 1]);
  });

  it('gives the same verdicts from the logs alone as from committed results', async () => {
    const none = Object.fromEntries(Object.values(LOGS).map((log) => [resultOf(log), null]));
    const { session } = await openWorkshop(none);
    const outcome = await session.review([]);
    expect(verdicts(outcome)).toEqual(Object.fromEntries(Object.values(LOGS).map((log) => [log, ALL[resultOf(log)]])));
    const committed = await (await openWorkshop()).session.review([]);
    for (const result of outcome.results) {
      const twin = committed.results.find((other) => other.file === resultOf(result.file))!;
      expect(result.points).toEqual(twin.points);
    }
  });

  it('judges what lies below the paths, or rests on a spec or reference that is named', async () => {
    const { session } = await openWorkshop();
    const files = async (...paths: string[]): Promise<string[]> =>
      (await session.review(paths)).results.map((result) => result.file).sort();
    expect(await files('dampers/F-001')).toEqual([resultOf(LOGS.one)]);
    expect(await files(LOGS.two)).toEqual([resultOf(LOGS.two)]);
    expect(await files(resultOf(LOGS.two), 'incoming')).toEqual([resultOf(LOGS.two), resultOf(LOGS.foreign)]);
    expect(await files(SPECS.rear)).toEqual([resultOf(LOGS.rear)]);
    expect(await files(REFERENCES.rear)).toEqual([resultOf(LOGS.rear)]);
    expect(await files('specs')).toEqual([]);
    expect(await files('')).toHaveLength(4);
    await expect(session.review(['dampers/F-0'])).rejects.toBeInstanceOf(SessionFault);
    await expect(session.review(['../x'])).rejects.toThrow();
  });

  it('tells faults of the spec and reference behind what is asked for, and not those of others', async () => {
    const { session } = await openWorkshop({
      [SPECS.rear]: specText('birch-rear').replace('stroke: 110 mm', 'stroke: 110'),
      [REFERENCES.front]: 'not, a, table\n1,2,3\n',
    });
    const front = await session.review(['dampers/F-001']);
    expect(
      new Set(front.findings.filter((finding) => finding.level === 'error').map((finding) => finding.file)),
    ).toEqual(new Set([REFERENCES.front]));
    expect(front.unreadable).toBe(true);
    const rear = await session.review(['dampers/R-001']);
    expect(told(rear, 'spec-invalid')).toEqual([]); // a spec that cannot be read has no id that the result could find
    expect(told(rear, 'spec-missing')).toHaveLength(1);
    expect(told(await session.review([]), 'spec-invalid')).toEqual([`spec-invalid ${SPECS.rear}:3`]);
  });

  it('counts the tests of one build and setting by their dates', async () => {
    const retest = 'dampers/F-002/build-1/again.testlog.csv';
    const repeat = 'dampers/F-002/build-1/repeat.testlog.csv';
    const { session } = await openWorkshop({
      [retest]: logText({
        serial: 'F-002',
        date: '2026-03-02',
        seed: 8,
        more: ['setting: {R: 4}', 'retest: {of: 2026-03-01, reason: "guide replaced"}'],
      }),
      [repeat]: logText({ serial: 'F-002', date: '2026-03-03', seed: 9, more: ['setting: {R: 4}', 'run: 2'] }),
    });
    const attempts = Object.fromEntries(
      (await session.review([])).results.map((result) => [result.file, result.attempt]),
    );
    expect(attempts).toMatchObject({ [resultOf(LOGS.two)]: 1, [retest]: 2, [repeat]: 1 });
  });

  it('passes on progress and stops when aborted, and the next run is whole', async () => {
    const { session } = await openWorkshop();
    const controller = new AbortController();
    const shares: number[] = [];
    const run = session.review([], {
      signal: controller.signal,
      progress: (_, share) => {
        shares.push(share ?? 0);
        if (shares.length === 2) controller.abort();
      },
    });
    await expect(run).rejects.toBeInstanceOf(AbortedError);
    expect(verdicts(await session.review([]))).toEqual(ALL);
    await expect(session.review([], { signal: AbortSignal.abort() })).rejects.toBeInstanceOf(AbortedError);
  });
});

describe('what is not there yet', () => {
  it('is found when it comes: a spec', async () => {
    const { session, files } = await openWorkshop({ [SPECS.rear]: null });
    const before = await session.review([]);
    expect(verdicts(before)[resultOf(LOGS.rear)]).toBe('undecided');
    expect(told(before, 'spec-missing')).toEqual([`spec-missing ${resultOf(LOGS.rear)}:17`]);
    const judged = session.counts()['judge']!;
    files.set(SPECS.rear, specText('birch-rear'));
    session.invalidate([SPECS.rear]);
    expect(verdicts(await session.review([]))).toEqual(ALL);
    expect(session.counts()['judge']).toBe(judged + 1);
  });

  it('is found when it comes: a reference', async () => {
    const { session, files } = await openWorkshop({ [REFERENCES.rear]: null });
    expect(verdicts(await session.review([]))[resultOf(LOGS.rear)]).toBe('undecided');
    files.set(REFERENCES.rear, (await workshopFiles())[REFERENCES.rear]!);
    session.invalidate([REFERENCES.rear]);
    expect(verdicts(await session.review([]))).toEqual(ALL);
  });

  it('is found when it comes: a mapping that claims a log, a log, a result', async () => {
    const { session, files } = await openWorkshop({
      'damper-review.yaml': 'formatVersion: 1\n',
      [LOGS.rear]: null,
      [resultOf(LOGS.two)]: null,
    });
    const before = await session.review([]);
    expect(told(before, 'result-unsourced', 'file-invalid')).toEqual([
      `result-unsourced ${resultOf(LOGS.rear)}:17`,
      `result-unsourced ${resultOf(LOGS.foreign)}:15`, // its log is a stranger without the mapping
    ]);
    expect(verdicts(before)[LOGS.two]).toBe('fail');
    const all = await workshopFiles();
    for (const path of ['damper-review.yaml', LOGS.rear, resultOf(LOGS.two)]) files.set(path, all[path]!);
    session.invalidate(['damper-review.yaml', LOGS.rear, resultOf(LOGS.two)]);
    const after = await session.review([]);
    expect(verdicts(after)).toEqual(ALL);
    expect(told(after, 'result-unsourced', 'result-stale')).toEqual([]);
  });

  it('is missed when it goes, folder and all', async () => {
    const { session, files } = await openWorkshop();
    await session.review([]);
    for (const path of [LOGS.two, resultOf(LOGS.two)]) files.remove(path);
    session.invalidate(['dampers/F-002']);
    expect(Object.keys(verdicts(await session.review([])))).not.toContain(resultOf(LOGS.two));
  });
});

describe('what is there twice', () => {
  it('a spec id: said at both, and neither is used until one goes', async () => {
    const copy = 'specs/copy.damper.yaml';
    const { session, files } = await openWorkshop({ [copy]: specText('birch-rear') });
    const outcome = await session.review([]);
    expect(told(outcome, 'id-ambiguous')).toEqual([`id-ambiguous ${SPECS.rear}:2`, `id-ambiguous ${copy}:2`]);
    expect(verdicts(outcome)[resultOf(LOGS.rear)]).toBe('undecided');
    expect(outcome.unreadable).toBe(true);
    files.remove(copy);
    session.invalidate([copy]);
    expect(verdicts(await session.review([]))).toEqual(ALL);
  });

  it('a mapping of one log: said at the second, and the log is not read', async () => {
    const second = '  - files: "incoming/F-003/**"\n    preamble: { spec: alder-front }\n';
    const { session } = await openWorkshop({ 'damper-review.yaml': CONFIG.replace('benches:', `${second}benches:`) });
    const outcome = await session.review([]);
    expect(told(outcome, 'id-ambiguous')).toEqual(['id-ambiguous damper-review.yaml:12']);
    expect(told(outcome, 'result-unsourced')).toEqual([`result-unsourced ${resultOf(LOGS.foreign)}:15`]);
    expect(outcome.unreadable).toBe(true);
  });

  it('a mapping in damper-review.yaml and in metadata beside the log', async () => {
    const metadata = `${LOGS.foreign}-metadata.json`;
    const { session } = await openWorkshop({
      [metadata]: JSON.stringify({
        '@context': 'http://www.w3.org/ns/csvw',
        url: 'any.csv',
        dialect: { delimiter: ';' },
        tableSchema: { columns: [{ titles: 'time [s]' }, { titles: 'displacement [mm]' }, { titles: 'force [N]' }] },
      }),
    });
    const outcome = await session.review([]);
    expect(told(outcome, 'id-ambiguous')).toEqual([`id-ambiguous ${metadata}:1`]);
  });
});

describe('a renamed spec', () => {
  it('keeps its results by its former id, unaltered and not stale', async () => {
    const { session } = await openWorkshop({
      [SPECS.rear]: specText('birch-back')
        .replace('id: birch-back', 'id: birch-back\nformerly: [birch-rear]')
        .replace('birch-back.refcurve', 'birch-rear.refcurve'),
    });
    const outcome = await session.review([]);
    expect(verdicts(outcome)).toEqual(ALL);
    expect(told(outcome, 'result-stale', 'result-altered', 'spec-missing')).toEqual([]);
    expect(outcome.results.find((result) => result.file === resultOf(LOGS.rear))?.specId).toBe('birch-back');
  });
});

describe('the cache', () => {
  it('spares reading logs in the next process, and a damaged one costs no more than time', async () => {
    const first = await openWorkshop();
    const outcome = await first.session.review([]);
    expect(first.store.size).toBe(4);
    const opened: string[] = [];
    const watched = Object.assign(Object.create(first.files) as typeof first.files, {
      open: (path: string, signal?: AbortSignal) => {
        opened.push(path);
        return first.files.open(path, signal);
      },
      list: first.files.list.bind(first.files),
      read: first.files.read.bind(first.files),
      stat: first.files.stat.bind(first.files),
    });
    const second = openSession(watched, { store: first.store });
    expect(deepEqual(await second.session.review([]), outcome)).toBe(true);
    expect(opened.sort()).toEqual([...Object.values(LOGS), ...Object.values(LOGS)].sort()); // once for its digest, once for its head
    for (const damage of [
      (value: Uint8Array) => value.slice(0, -1),
      () => new Uint8Array(0),
      (value: Uint8Array) => value.map((byte) => byte ^ 1),
    ]) {
      first.store.damage(damage);
      expect(deepEqual(await openSession(first.files, { store: first.store }).session.review([]), outcome)).toBe(true);
    }
  });
});

describe('results and their logs', () => {
  it('are read from .gz and plain text alike, and a foreign log needs its mapping alone', async () => {
    const { session } = await openWorkshop({ 'incoming/F-009/2/any.csv': foreignLogText(9) });
    const result = (await session.review(['incoming/F-009'])).results[0]!;
    expect([result.serial, result.build, result.verdict]).toEqual(['F-009', '2', 'pass']);
  });
});

import { mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { NodeRepositoryFiles } from '../../src/platform/node/nodeRepositoryFiles';
import { NodeRepositoryWriter } from '../../src/platform/node/nodeRepositoryWriter';
import { fixedClock } from '../../src/platform/memory/memoryServices';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import { exitStatus } from '../../src/review/outcome';
import { ReviewSession } from '../../src/session/reviewSession';
import { SessionFault } from '../../src/session/sessionFault';
import { put, temporaryFolder } from '../platform/temporaryFolder';
import {
  CONFIG,
  LOGS,
  logText,
  openWorkshop,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  told,
  TODAY,
  verdicts,
  workshopFiles,
} from '../session/workshop';
import { HOSTILE } from '../text/hostileText';

const workshop = await workshopFiles();

function onDisk(changes: Readonly<Record<string, string | null>> = {}): { root: string; session: ReviewSession } {
  const root = temporaryFolder();
  for (const [path, content] of Object.entries(workshop)) if (changes[path] !== null) put(root, path, content);
  for (const [path, content] of Object.entries(changes)) if (content !== null) put(root, path, content);
  return { root, session: sessionOn(root) };
}

function sessionOn(root: string): ReviewSession {
  return new ReviewSession({
    files: new NodeRepositoryFiles(root),
    digest: nodeDigest,
    gunzip: nodeGunzip(),
    clock: fixedClock(TODAY),
  });
}

/** A preamble is one line of UTF-8: what breaks lines or has no bytes of its own cannot stand there. */
function fitsOneLine(text: string): boolean {
  const breaks = ['\0', '\r', '\n', '\u0085', '\u2028', '\u2029'];
  return text.trim() !== '' && Buffer.from(text).toString() === text && !breaks.some((mark) => text.includes(mark));
}

const SECRET = 'secret-of-the-host';

describe('links in a repository', () => {
  it('that leave it are told, and nothing behind them is read, judged or quoted', async () => {
    const outside = temporaryFolder({
      'x.testlog.csv': logText({ serial: SECRET, seed: 50 }),
      'secret.damper.yaml': `${specText('alder-front')}# ${SECRET}\n`,
      'deep/y.result.csv': SECRET,
    });
    const { root, session } = onDisk({ [SPECS.rear]: null, [REFERENCES.front]: null });
    symlinkSync(join(outside, 'x.testlog.csv'), join(root, 'dampers/x.testlog.csv'));
    symlinkSync(outside, join(root, 'dampers/folder'));
    symlinkSync(join(outside, 'secret.damper.yaml'), join(root, SPECS.rear));
    symlinkSync('/etc/passwd', join(root, REFERENCES.front));
    const outcome = await session.review([]);
    expect(told(outcome, 'path-outside')).toEqual(
      ['dampers/folder', 'dampers/x.testlog.csv', REFERENCES.front, SPECS.rear].map((path) => `path-outside ${path}:1`),
    );
    expect(exitStatus(outcome, 'never')).toBe(2);
    expect(JSON.stringify(outcome)).not.toContain(SECRET);
    expect(JSON.stringify(outcome)).not.toContain('root:');
    await expect(session.review(['dampers/folder/deep'])).rejects.toBeInstanceOf(SessionFault);
    await expect(session.compare('dampers/folder/x.testlog.csv', 'F-001/1')).rejects.toBeInstanceOf(SessionFault);
    await expect(session.reduce(['../x'])).rejects.toBeInstanceOf(SessionFault);
  });

  it('that loop are told, and the rest is judged', async () => {
    const { root, session } = onDisk();
    symlinkSync('.', join(root, 'dampers/loop'));
    symlinkSync('second.testlog.csv', join(root, 'first.testlog.csv'));
    symlinkSync('first.testlog.csv', join(root, 'second.testlog.csv'));
    const outcome = await session.review([]);
    expect(told(outcome, 'unreadable')).toEqual([
      'unreadable dampers/loop:1',
      'unreadable first.testlog.csv:1',
      'unreadable second.testlog.csv:1',
    ]);
    expect(outcome.results).toHaveLength(4);
    expect(exitStatus(outcome, 'never')).toBe(2);
  });

  it('that stay inside make nothing twice', async () => {
    const { root, session } = onDisk();
    symlinkSync('../../../specs/alder-front.damper.yaml', join(root, 'dampers/F-001/build-1/own.damper.yaml'));
    symlinkSync('dampers', join(root, 'units'));
    const outcome = await session.review([]);
    expect(told(outcome, 'id-ambiguous')).toEqual([]);
    expect(Object.keys(verdicts(outcome)).sort()).toEqual(Object.values(LOGS).map(resultOf).sort());
    expect(
      (await session.review([`units/F-001/build-1/one.testlog.csv`])).results.map((result) => result.file),
    ).toEqual([resultOf(LOGS.one)]);
  });

  it('in place of a result are not written through', async () => {
    const outside = temporaryFolder({ 'kept.csv': 'kept' });
    const { root, session } = onDisk({ [resultOf(LOGS.one)]: null });
    symlinkSync(join(outside, 'kept.csv'), join(root, resultOf(LOGS.one)));
    const [file] = (await session.reduce([LOGS.one])).written;
    await expect(new NodeRepositoryWriter(root).writeAtomic(file!.path, file!.bytes)).rejects.toMatchObject({
      code: 'outside',
    });
    expect(readFileSync(join(outside, 'kept.csv'), 'utf8')).toBe('kept');
  });
});

describe('paths that files name', () => {
  const climbing = (path: string) =>
    Buffer.from(workshop[resultOf(LOGS.one)]!)
      .toString('utf8')
      .replace(/path: dampers[^,}]+/u, `path: ${path}`);

  it.each(['../../etc/passwd', '/etc/passwd', 'C:/Windows/win.ini', '"..\\\\..\\\\x"', 'dampers/../../x'])(
    'a source %s of a result is never opened',
    async (path) => {
      const opened: string[] = [];
      const { root } = onDisk({ [resultOf(LOGS.one)]: climbing(path) });
      const files = new NodeRepositoryFiles(root);
      const watched: typeof files = Object.assign(
        Object.create(Object.getPrototypeOf(files) as object) as typeof files,
        {
          root: files.root,
          list: files.list.bind(files),
          stat: files.stat.bind(files),
          read: (name: string, limit?: number) => (opened.push(name), files.read(name, limit)),
          readNow: (entry: FileEntry) => (opened.push(entry.path), files.readNow(entry)),
          startNow: (entry: FileEntry, most: number) => (opened.push(entry.path), files.startNow(entry, most)),
          open: (name: string, signal?: AbortSignal) => (opened.push(name), files.open(name, signal)),
        },
      );
      const session = new ReviewSession({
        files: watched,
        digest: nodeDigest,
        gunzip: nodeGunzip(),
        clock: fixedClock(TODAY),
      });
      const outcome = await session.review([]);
      expect(opened.filter((name) => /^\/|\.\.|:|\\/u.test(name))).toEqual([]);
      expect(told(outcome, 'result-unsourced', 'path-outside', 'file-invalid').length).toBeGreaterThan(0);
      expect(verdicts(outcome)[resultOf(LOGS.two)]).toBe('fail'); // the others are judged as ever
    },
  );
});

describe('content made to exhaust', () => {
  it('a glob of stars and braces is refused, in a mapping and in a waiver', async () => {
    for (const glob of [
      '*a*a*a*a*a*a*a*a*a*a*a*b',
      '{a,b}'.repeat(30),
      '**/'.repeat(100),
      `${'('.repeat(50)}a+${')+'.repeat(50)}`,
      '[[:alpha:]]'.repeat(100),
    ]) {
      const waiver = `waivers:\n  - { rule: loop-void, file: ${JSON.stringify(glob)}, reason: "r", by: "b", until: 2026-12-31 }\n`;
      const { session } = await openWorkshop({
        'damper-review.yaml': CONFIG.replace('"incoming/**/*.csv"', JSON.stringify(glob)) + waiver,
        [`${'a'.repeat(200)}.csv`]: '1',
        [`${'a/'.repeat(100)}a.csv`]: '1',
      });
      const outcome = await session.review([]);
      expect(outcome.results.length).toBeGreaterThanOrEqual(3);
    }
  });

  it('a YAML alias bomb in every YAML of the repository is a finding of its file', async () => {
    const bomb = [
      'a0: &a0 [x,x,x,x,x,x,x,x,x]',
      ...Array.from({ length: 20 }, (_, i) => `a${i + 1}: &a${i + 1} [${Array(9).fill(`*a${i}`).join(',')}]`),
      '',
    ].join('\n');
    const inPreamble = `# setting: &a [${Array(9).fill('x').join(',')}]\n# retest: [*a,*a,*a,*a]\n`;
    const { session } = await openWorkshop({
      'damper-review.yaml': bomb,
      [SPECS.rear]: bomb,
      'x/a.testlog.csv': inPreamble + logText({ serial: 'F-040', seed: 51 }),
      'x/b.refcurve.csv': `${inPreamble}velocity [mm/s],compression [N],rebound [N]\n100,1,-1\n`,
    });
    const outcome = await session.review([]);
    const files = new Set(
      outcome.findings.filter((finding) => finding.level === 'error').map((finding) => finding.file),
    );
    for (const file of ['damper-review.yaml', SPECS.rear, 'x/a.testlog.csv', 'x/b.refcurve.csv'])
      expect(files).toContain(file);
    expect(exitStatus(outcome, 'never')).toBe(2);
  });

  it('deep nesting, endless lines and endless problems stay small', async () => {
    const { session } = await openWorkshop({
      [SPECS.rear]: `a: ${'['.repeat(20_000)}`,
      'damper-review.yaml': `formatVersion: 1\n${Array.from({ length: 5000 }, (_, i) => `k${i}: 1`).join('\n')}\n`,
      'x/line.testlog.csv': `time [s],displacement [mm],force [N]\n${'1'.repeat(3_000_000)}\n`,
      'x/rows.testlog.csv': `time [s],displacement [mm],force [N]\n${'a,b,c\n'.repeat(50_000)}`,
      'x/rows.result.csv': `velocity [mm/s],compression [N],rebound [N]\n${'a,b,c\n'.repeat(20_000)}`,
      'x/metadata.testlog.csv-metadata.json': '{"a":'.repeat(20_000),
    });
    const outcome = await session.review([]);
    expect(exitStatus(outcome, 'never')).toBe(2);
    expect(outcome.findings.length).toBeLessThan(400);
    expect(outcome.findings.every((finding) => finding.message.length < 2000)).toBe(true);
    expect(outcome.findings.filter((finding) => finding.message.includes('The program failed'))).toEqual([]);
  });
});

describe('names with a meaning elsewhere', () => {
  it.each(HOSTILE.filter(fitsOneLine))('a serial %j stays data from log to result and back', async (serial) => {
    const log = 'x/h.testlog.csv';
    const text = logText({ serial: 'PLACEHOLDER', seed: 52 }).replace(
      'serial: PLACEHOLDER',
      `serial: ${JSON.stringify(serial)}`,
    );
    const { session, files } = await openWorkshop({ [log]: text });
    const first = await session.review([log]);
    if (first.unreadable) {
      // Refused is fine too, as long as it is said of this file and nothing is written.
      expect(first.findings.some((finding) => finding.file === log && finding.level === 'error')).toBe(true);
      expect((await session.reduce([log])).written).toEqual([]);
      return;
    }
    expect(first.results.map((result) => result.serial)).toEqual([serial]);
    const [written] = (await session.reduce([log])).written;
    expect(written!.path).toBe('x/h.result.csv'); // a name never becomes a path
    files.set(written!.path, written!.bytes);
    session.invalidate([written!.path]);
    const second = await session.review([log]);
    expect(second.results.map((result) => [result.file, result.serial])).toEqual([['x/h.result.csv', serial]]);
    expect(told(second, 'result-altered', 'result-stale', 'result-unsourced')).toEqual([]);
  });

  it('keys of every object change nobody', async () => {
    const { session } = await openWorkshop({
      [SPECS.rear]: specText('__proto__').replace('  R: {', '  __proto__: {'),
      'damper-review.yaml': `${CONFIG}  constructor: { movingMass: 1 kg }\n`,
      'x/a.testlog.csv': logText({
        serial: 'F-041',
        seed: 53,
        spec: 'constructor',
        more: ['setting: {__proto__: 4, constructor: 3}'],
      }).replace('bench: bench-1', 'bench: toString'),
    });
    const outcome = await session.review([]);
    expect(({} as Record<string, unknown>)['clicks']).toBeUndefined();
    expect(Object.keys(Object.prototype)).toEqual([]);
    expect(outcome.findings.filter((finding) => finding.message.includes('The program failed'))).toEqual([]);
  });

  it('the working folder is left as it was by a review', async () => {
    const { root, session } = onDisk();
    mkdirSync(join(root, 'empty'));
    writeFileSync(join(root, 'note.txt'), 'x');
    const before = readdirSync(root, { recursive: true, encoding: 'utf8' }).sort();
    await session.review([]);
    await session.reduce(['']);
    await session.compare('F-001/1', 'F-002/1');
    expect(readdirSync(root, { recursive: true, encoding: 'utf8' }).sort()).toEqual(before);
  });
});

import { spawnSync } from 'node:child_process';
import {
  closeSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readFileSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const ROOT = dirname(dirname(import.meta.dirname));
const PROGRAM = join(ROOT, 'dist', 'damper-review.cjs');

interface Run {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

let folder = '';
let samples = '';

function damperReview(args: readonly string[], cwd = folder): Run {
  const done = spawnSync(process.execPath, [PROGRAM, ...args], {
    cwd,
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
    env: { ...process.env, XDG_CACHE_HOME: join(folder, 'cache'), NO_COLOR: '', FORCE_COLOR: '' },
  });
  return { status: done.status, out: done.stdout, err: done.stderr };
}

const NO_MORE = 'Standard output took no more';

/** With a standard output that takes nothing. */
function ontoFullDisk(args: readonly string[]): Omit<Run, 'out'> {
  const full = openSync('/dev/full', 'w');
  const done = spawnSync(process.execPath, [PROGRAM, ...args], {
    cwd: folder,
    encoding: 'utf8',
    stdio: ['ignore', full, 'pipe'],
  });
  closeSync(full);
  return { status: done.status, err: done.stderr };
}

beforeAll(() => {
  if (!existsSync(PROGRAM)) throw new Error('dist/ is missing: run npm test, or npm run build first.');
  folder = mkdtempSync(join(tmpdir(), 'damper-cli-'));
  samples = join(folder, 'samples');
  cpSync(join(ROOT, 'samples'), samples, { recursive: true });
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

describe('check', () => {
  it('says which unit is out, where, how far and in which direction, and exits 1', () => {
    const run = damperReview(['check', 'samples']);
    expect(run.status).toBe(1);
    expect(run.out).toMatch(/F-002 build 2.*FAIL.*% of tolerance.*rebound/);
    expect(run.out).not.toContain('\u001b[');
  });

  it('exits 0 on the samples with --fail-on never, as npm start does', () => {
    expect(damperReview(['check', 'samples', '--fail-on', 'never']).status).toBe(0);
  });

  it('exits 0 on one healthy damper', () => {
    const run = damperReview(['check', 'samples/dampers/F-001']);
    expect(run.out).toContain('F-001 build 1');
    expect(run.status).toBe(0);
  });

  it.runIf(existsSync('/dev/full'))(
    'says that standard output takes no more, and does not exit as if all were well',
    () => {
      for (const format of ['text', 'json', 'junit']) {
        const words = ['check', 'samples', '--fail-on', 'never', '--format', format];
        expect(ontoFullDisk(words)).toEqual({ status: 2, err: expect.stringContaining(NO_MORE) as string });
      }
    },
  );

  it.skipIf(process.platform === 'win32')('takes a reader who has read enough for one who is content', () => {
    const words = `"${process.execPath}" "${PROGRAM}" check samples --fail-on never --format json`;
    const done = spawnSync('bash', ['-c', `${words} | head -c 20; exit $PIPESTATUS`], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect([done.status, done.stdout, done.stderr]).toEqual([0, '{\n  "formatVersion":', '']);
  });

  it('puts one JSON document on standard output, and a report into a file', () => {
    const run = damperReview(['check', '.', '--format', 'json', '--report', 'html=../out/review.html'], samples);
    const document = JSON.parse(run.out) as { formatVersion: number; verdict: string; results: unknown[] };
    expect(document).toMatchObject({ formatVersion: 1, verdict: 'fail' });
    expect(document.results.length).toBeGreaterThanOrEqual(10);
    expect(readdirSync(join(folder, 'out'))).toEqual(['review.html']);
    expect(readFileSync(join(folder, 'out', 'review.html'), 'utf8')).toMatch(/^<!doctype html>/i);
    expect(run.err).toContain('review.html');
  });

  it('exits 2 where a file cannot be read, also with --fail-on never, and judges the rest', () => {
    const copy = join(folder, 'unreadable');
    cpSync(samples, copy, { recursive: true });
    mkdirSync(join(copy, 'dampers/F-009/build-1'), { recursive: true });
    writeFileSync(join(copy, 'dampers/F-009/build-1/empty.testlog.csv'), '');
    const run = damperReview(['check', copy, '--fail-on', 'never']);
    expect(run.status).toBe(2);
    expect(run.out).toContain('dampers/F-009/build-1/empty.testlog.csv:1');
    expect(run.out).toContain('F-001 build 1');
  });
});

describe('reduce', () => {
  it('writes the same bytes each time, and nothing beside the results', () => {
    const copy = join(folder, 'reduce');
    cpSync(samples, copy, { recursive: true });
    const list = (): string[] => readdirSync(copy, { recursive: true }).map(String).sort();
    const log = join(copy, 'dampers/F-002/build-2/delivery.testlog.csv.gz');
    const result = join(copy, 'dampers/F-002/build-2/delivery.result.csv');
    rmSync(result, { force: true });
    const before = list();
    expect(damperReview(['reduce', log])).toMatchObject({ status: 0 });
    expect(list().filter((file) => !before.includes(file))).toEqual([
      join('dampers/F-002/build-2/delivery.result.csv'),
    ]);
    const bytes = readFileSync(result);
    expect(bytes.equals(readFileSync(join(ROOT, 'samples/dampers/F-002/build-2/delivery.result.csv')))).toBe(true);
    expect(damperReview(['reduce', log])).toMatchObject({ status: 0 });
    expect(readFileSync(result).equals(bytes)).toBe(true);
  });

  it.runIf(existsSync('/dev/full'))('writes every result where it cannot name them, and says so', () => {
    const copy = join(folder, 'untold');
    cpSync(samples, copy, { recursive: true });
    const builds = ['dampers/F-002/build-1', 'dampers/F-002/build-2'].map((build) => join(copy, build));
    for (const build of builds) rmSync(join(build, 'delivery.result.csv'));
    const words = ['reduce', ...builds.map((build) => join(build, 'delivery.testlog.csv.gz'))];
    expect(ontoFullDisk(words)).toEqual({ status: 2, err: expect.stringContaining(NO_MORE) as string });
    for (const build of builds) expect(readdirSync(build)).toContain('delivery.result.csv');
  });

  it('writes nothing from a log that it cannot read, names file, line and remedy, and exits 2', () => {
    const bad = join(samples, 'dampers/F-008/build-1');
    mkdirSync(bad, { recursive: true });
    writeFileSync(join(bad, 'ragged.testlog.csv'), 'time [s],displacement [mm],force [N]\n0,1,2\n0.01,1\n');
    const run = damperReview(['reduce', join(bad, 'ragged.testlog.csv')]);
    expect(run.status).toBe(2);
    expect(run.err).toMatch(/ragged\.testlog\.csv:3/);
    expect(readdirSync(bad)).toEqual(['ragged.testlog.csv']);
    rmSync(join(samples, 'dampers/F-008'), { recursive: true });
  });
});

describe('reduce onto a link', () => {
  it.skipIf(process.platform === 'win32')('refuses, says why and leaves what the link leads to', () => {
    const copy = join(folder, 'linked');
    cpSync(samples, copy, { recursive: true });
    const result = join(copy, 'dampers/F-002/build-2/delivery.result.csv');
    const elsewhere = join(folder, 'elsewhere.csv');
    writeFileSync(elsewhere, 'mine');
    rmSync(result);
    symlinkSync(elsewhere, result);
    const run = damperReview(['reduce', join(copy, 'dampers/F-002/build-2/delivery.testlog.csv.gz')]);
    expect(run.status).toBe(2);
    expect(run.err).toContain('dampers/F-002/build-2/delivery.result.csv was not written: it is a link');
    expect(run.err).not.toContain('Something went wrong');
    expect(readFileSync(elsewhere, 'utf8')).toBe('mine');
  });
});

describe('compare', () => {
  it('holds two builds of one damper against each other', () => {
    const run = damperReview(['compare', 'F-002/1', 'F-002/2'], samples);
    expect(run.status).toBe(0);
    expect(run.out).toMatch(/rebound/);
    expect(run.out).toMatch(/softer/);
  });
});

describe('usage', () => {
  it.each(['check', 'reduce', 'compare', 'correct'])('shows examples in the help of %s', (command) => {
    const run = damperReview([command, '--help']);
    expect(run.status).toBe(0);
    expect(run.out).toContain(`$ damper-review ${command}`);
  });

  it.each([
    [['check', 'nowhere'], '"nowhere" does not exist'],
    [['check', '--format', 'pdf'], '--format is one of'],
    [['check', '--fail-on', 'always'], '--fail-on is one of'],
    [['check', '--report', 'html'], '--report wants FORMAT=FILE'],
    [['check', '--formats'], "unknown option '--formats'"],
    [['chek'], "unknown command 'chek'"],
  ])('refuses %j with exit status 2', (args, message) => {
    const run = damperReview(args);
    expect(run.status).toBe(2);
    expect(run.err).toContain(message);
    expect(run.out).toBe('');
  });

  it('shows no raw escape of a hostile path', () => {
    const run = damperReview(['check', '\u001b[31mred\u202e']);
    expect(run.status).toBe(2);
    for (const hidden of ['\u001b', '\u202e']) expect(run.err).not.toContain(hidden);
  });
});

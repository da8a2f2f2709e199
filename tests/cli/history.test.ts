import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ScriptedGit } from '../repositories/scriptedGit';
import { LOGS, REFERENCES, resultOf, SPECS, specText, textOf, workshopFiles } from '../session/workshop';

const PROGRAM = join(dirname(dirname(import.meta.dirname)), 'dist', 'damper-review.cjs');
let folder = '';
let git: ScriptedGit;

interface Run {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

function damperReview(...args: readonly string[]): Run {
  const done = spawnSync(process.execPath, [PROGRAM, ...args], {
    cwd: git.folder,
    encoding: 'utf8',
    env: { ...process.env, XDG_CACHE_HOME: join(folder, 'cache'), NO_COLOR: '', FORCE_COLOR: '' },
  });
  return { status: done.status, out: done.stdout, err: done.stderr };
}

beforeAll(async () => {
  if (!existsSync(PROGRAM)) throw new Error('dist/ is missing: run npm test, or npm run build first.');
  folder = mkdtempSync(join(tmpdir(), 'damper-history-'));
  git = new ScriptedGit(join(folder, 'workshop')).init();
  git.commit('first', await workshopFiles());
  git.branch('work').commit('wider', { [SPECS.front]: specText('alder-front', '30 %') });
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

describe('changes', () => {
  it('tells the terminal what moved first, and prints one JSON document; the exit status is that of what turned', () => {
    const run = damperReview('changes');
    expect(run.out).toContain('This branch itself moves: tolerance.');
    expect(run.out).toContain('fail to pass with the tolerance');
    expect(run.status).toBe(0);
    const document = JSON.parse(damperReview('changes', '--base', 'main', '--format', 'json').out) as {
      turned: unknown[];
    };
    expect(document.turned).toEqual([
      { file: resultOf(LOGS.two), before: 'fail', after: 'pass', cause: 'tolerance', parts: ['tolerance'] },
    ]);
    const sarif = JSON.parse(damperReview('changes', '--format', 'sarif').out) as {
      runs: { results: { ruleId: string }[] }[];
    };
    expect(sarif.runs[0]!.results.map(({ ruleId }) => ruleId)).toContain('tolerance-moved');
  });

  it('lays a chart of every changed result beside a comment that goes to a file', () => {
    const comment = join(folder, 'out', 'comment.md');
    expect(damperReview('changes', '--report', `markdown=${comment}`).err).toContain('Markdown report');
    expect(readFileSync(comment, 'utf8')).toContain('![Drift over tolerance](comment-charts/drift-1.svg)');
    const svg = readFileSync(join(folder, 'out', 'comment-charts', 'drift-1.svg'), 'utf8');
    expect(svg).toMatch(/^<svg[^>]* xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    expect(svg).toContain('<title id="drift-1-t">Drift over tolerance of F-002 build 1</title>');
    expect(svg).not.toContain('var(');
  });

  it('says in words what it cannot do', () => {
    expect(damperReview('changes', '--base', 'nothing')).toMatchObject({ status: 2 });
    expect(damperReview('changes', '--base', 'nothing').err).toContain('"nothing" names no commit');
  });
});

describe('compare at a revision', () => {
  it('shows the keys of the spec that changed between the two', () => {
    const run = damperReview('compare', `${resultOf(LOGS.two)}@main`, 'F-002/1');
    expect(run.out).toMatch(/tolerance\.rebound\.softer\.relative: 0\.05 -> 0\.3/);
    expect(run.status).toBe(0);
  });
});

describe('adopt', () => {
  it('writes nothing without a terminal or --yes, and with it offers the root file', () => {
    git.branch('adopt');
    const asked = damperReview('adopt', resultOf(LOGS.two), '--reason', 'Softer');
    expect(asked.out).toContain('pass to fail');
    expect(asked).toMatchObject({ status: 1, err: expect.stringContaining('Nothing was written') as string });
    expect(git.git('status', '--porcelain')).toBe('');
    expect(damperReview('adopt', resultOf(LOGS.two)).status).toBe(2); // a reason is due
    git.commit('no root file', { 'damper-review.yaml': null, [LOGS.foreign]: null, [resultOf(LOGS.foreign)]: null });
    // Without bench data the results are stale until they are reduced again.
    expect(damperReview('adopt', resultOf(LOGS.two), '--reason', 'Softer', '--yes').err).toContain('result-stale');
    expect(damperReview('reduce', 'dampers').status).toBe(0);
    git.commit('reduced');
    const done = damperReview('adopt', resultOf(LOGS.two), '--reason', 'Softer', '--yes', '--root-file');
    expect(done.status).toBe(0);
    expect(git.git('status', '--porcelain').split('\n').sort()).toEqual([
      '?? damper-review.yaml',
      `M ${REFERENCES.front}`,
    ]);
    expect(damperReview('check', '--fail-on', 'never').status).toBe(0);
    git.git('reset', '-q', '--hard', 'HEAD');
    git.git('clean', '-q', '-f');
  });
});

describe('git-diff', () => {
  const attributes = (): string => {
    const file = join(git.folder, '.git/info/attributes');
    return existsSync(file) ? readFileSync(file, 'utf8') : '';
  };

  it('shows old, new and drift aligned in plain git diff, and takes itself away again', async () => {
    const result = resultOf(LOGS.one);
    const before = textOf(await workshopFiles(), result);
    git.put({ '.git/info/attributes': '*.bin binary\n' });
    const lines = before.trimEnd().split('\n');
    const cells = lines.at(-1)!.split(',');
    const rebound = lines
      .find((line) => !line.startsWith('#'))!
      .split(',')
      .indexOf('rebound [N]');
    const old = Number(cells[rebound]);
    cells[rebound] = (old - 30).toFixed(1);
    git.put({ [result]: `${[...lines.slice(0, -1), cells.join(',')].join('\n')}\n` });
    expect(damperReview('git-diff', '--install').status).toBe(0);
    expect(damperReview('git-diff', '--install').status).toBe(0);
    expect(attributes().match(/diff=damper/g)).toHaveLength(2); // once each, though installed twice
    const shown = git.git('diff');
    expect(shown).toMatch(/mm\/s +old +new +drift +%/);
    expect(shown).toMatch(/300 .* -30\.0\*? +\+\d/);
    expect(shown).toContain('2 rows as before');
    expect(shown).not.toContain('\u001b');
    expect(git.git('diff', '--no-ext-diff')).toContain(`+${cells.join(',')}`);
    expect(git.git('diff', '--stat')).toContain('1 file changed');
    git.put({ [result]: 'no, table\n', [REFERENCES.rear]: null });
    const odd = git.git('diff');
    expect(odd).toMatch(/cannot be read as a table/);
    expect(odd).toContain('+no, table');
    expect(odd).toContain(`${REFERENCES.rear} removed`);
    expect(damperReview('git-diff', '--uninstall').status).toBe(0);
    expect(damperReview('git-diff', '--uninstall').status).toBe(0);
    expect(attributes()).toBe('*.bin binary\n');
    expect(git.git('diff')).toContain('-# formatVersion: 1');
    expect(damperReview('git-diff').status).toBe(2);
    git.git('checkout', '-q', '--', '.');
  });
});

import { mkdtempSync, readFileSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CancellationTokenSource, WorkDoneProgress } from 'vscode-languageserver/node';
import { isHostMessage } from '../../src/protocol/pageMessages';
import { REQUEST } from '../../src/protocol/requests';
import type { BranchView } from '../../src/protocol/views';
import { partsOf, rowsOf } from '../charts/vegaLiteCheck';
import { BranchState, softenRebound, store } from '../repositories/branchWorkshop';
import { changesOf } from '../repositories/branchReview';
import { branchDocument } from '../../src/reports/branchJson';
import { ScriptedGit } from '../repositories/scriptedGit';
import { LOGS, logText, REFERENCES, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { gitPlatform } from './gitPlatform';
import { StartedServer } from './startedServer';

/*
 * A branch that bends the reference to F-002, loosens the tolerance of the rear spec, tests F-003 again and takes R-001 away, asked over a
 * connection as the editor asks.
 */
const LATER = 'dampers/F-004/build-1/four.testlog.csv';
let folder = '';
let git: ScriptedGit;
let server: StartedServer;
let opened: () => number;
let view: BranchView;

beforeAll(async () => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), 'damper-branch-page-')));
  git = new ScriptedGit(folder).init();
  const files = await workshopFiles();
  const state = new BranchState(files);
  git.commit('The workshop', files);
  git.on('2026-04-20').branch('bend');
  const moved = await state.movedReference(REFERENCES.front, softenRebound(0.8));
  git.commit('Bend the reference to F-002', moved);
  git.commit('Loosen the rear', { [SPECS.rear]: specText('birch-rear', '6 %') });
  state.set({ ...moved, [LATER]: logText({ serial: 'F-004', seed: 44, reboundShare: 0.8, date: '2026-04-15' }) });
  const reduced = await state.reduced(LATER);
  git.commit('One more', { [LATER]: await state.files.read(LATER), ...reduced });
  git.commit('R-001 was sold', { [LOGS.rear]: null, [resultOf(LOGS.rear)]: null });
  const made = gitPlatform(folder, store);
  opened = made.opened;
  server = await StartedServer.start({ platform: made.platform, open: [pathToFileURL(folder).href] });
  expect(opened()).toBe(0); // nothing of git before it is asked for
  view = await server.request(REQUEST.branch, {});
});
afterAll(async () => {
  await server.stop();
  rmSync(folder, { recursive: true, force: true });
});

const uri = (path: string): string => `${pathToFileURL(folder).href}/${path}`;
const rowOf = (path: string) => view.changed.find(({ file }) => file === path)!;

describe('the page of a branch', () => {
  it('is a view that the page takes in full', () => {
    expect(isHostMessage({ kind: 'show', view: JSON.parse(JSON.stringify(view)) as unknown })).toBe(true);
    expect([view.base, view.uri]).toEqual(['', pathToFileURL(folder).href]);
  });

  it('says first what results are judged by and moved, and how many verdicts turn with it', () => {
    expect(view.sentences[0]).toBe(
      'This branch itself moves: reference and tolerance. 3 verdicts turn, 3 of them not by the measurement.',
    );
    expect(view.sentences[2]).toMatch(/^Against main \([0-9a-f]{12}\)\.$/);
    expect(view.moved.map(({ text, file }) => [text.replace(/:.*/, ''), file])).toEqual([
      ['reference of alder-front changed', REFERENCES.front],
      ['tolerance of birch-rear changed', SPECS.rear],
    ]);
    expect(view.moved.every(({ uri: address, file }) => address === uri(file))).toBe(true);
    expect(view.about.map(({ rule }) => rule)).toEqual(expect.arrayContaining(['reference-moved', 'tolerance-moved']));
  });

  it('shows turned results first, with verdicts and causes as the document of the command line has them', async () => {
    const document = branchDocument(await changesOf(folder, undefined, store));
    const turned = view.changed.filter(({ before, after }) => before && after && before !== after);
    expect(turned).toHaveLength(3);
    expect(view.changed.slice(0, 3)).toEqual(turned);
    expect(turned.map(({ file, before, after }) => [file, before, after])).toEqual(
      document.turned.map(({ file, before, after }) => [file, before, after]),
    );
    expect(rowOf(resultOf(LOGS.two))).toMatchObject({ before: 'fail', after: 'pass' });
    expect(rowOf(resultOf(LOGS.two)).change).toBe('fail to pass with the reference');
    expect(view.verdict).toBe(document.verdict);
  });

  it('draws drift over tolerance now with that of before behind it, and has the same figures in a table', () => {
    const { chart, table } = rowOf(resultOf(LOGS.two));
    expect(chart!.description).toContain('as judged before');
    const values = JSON.stringify(chart!.spec);
    expect(values).toContain('"before":');
    expect(table!.columns.map(({ head }) => head)).toEqual([
      'Setting',
      'mm/s',
      ...['% before', '% now', 'Verdict', '% before', '% now', 'Verdict'],
    ]);
    const [setting, speed, , , , before, now, verdict] = table!.rows.at(-1)!.cells;
    expect([setting, speed, verdict]).toEqual(['R 4', '300', 'fail to pass']);
    expect(Number(before)).toBeLessThan(-100);
    expect(Math.abs(Number(now))).toBeLessThan(100);
  });

  it('has a stop for each point of the setting that is drawn, which opens its row', () => {
    const path = resultOf(LOGS.two);
    const { chart, uri: address } = rowOf(path);
    const lines = readFileSync(join(folder, path), 'utf8').split('\n');
    expect(address).toBe(uri(path));
    expect(chart!.points!.length).toBeGreaterThanOrEqual(4);
    for (const { row, label } of chart!.points!) {
      const speed = /^(?:compression|rebound) ([\d.]+) mm\/s: damping .*(?:pass|fail|undecided)$/.exec(label)![1]!;
      expect(lines[row - 1]).toContain(`,${speed},`);
    }
    const drawn = rowsOf(chart!.spec).flatMap(({ row }) => row ?? []);
    expect(new Set(drawn)).toEqual(new Set(chart!.points!.map(({ row }) => row)));
  });

  it('draws the charts of the first 40 at once, and fits them to the page', async () => {
    expect(view.drawn).toBe(view.changed.length);
    const narrow = await server.request(REQUEST.branch, { width: 372, drawn: 80 });
    expect(narrow.drawn).toBe(view.changed.length);
    const widths = (one: BranchView) =>
      one.changed.flatMap(({ chart }) => partsOf(chart?.spec).flatMap((p) => p['width'] ?? []));
    expect(new Set(widths(view))).toEqual(new Set([340]));
    expect(new Set(widths(narrow))).toEqual(new Set([222]));
  });

  it('tells what is new and what is gone', () => {
    const [added] = Object.keys(view.changed).flatMap((i) => {
      const row = view.changed[Number(i)]!;
      return row.change === 'added' ? [row] : [];
    });
    expect(added).toMatchObject({ after: 'pass', label: 'F-004 build 1' });
    expect([added!.was, added!.before, added!.compare]).toEqual([undefined, undefined, undefined]);
    const gone = rowOf(resultOf(LOGS.rear));
    expect(gone.change).toBe('removed');
    expect([gone.now, gone.after, gone.uri, gone.compare]).toEqual([undefined, undefined, undefined, undefined]);
    expect(view.tables.find(({ id }) => id === 'logs')!.rows.map(({ cells }) => cells)).toEqual([
      [LATER, 'added'],
      [LOGS.rear, 'removed'],
    ]);
  });

  it('opens the comparison of a result and of a reference before against after', async () => {
    const { compare } = rowOf(resultOf(LOGS.two));
    const comparison = await server.request(REQUEST.compare, compare!);
    expect([comparison.a.target, comparison.b.target]).toEqual([compare!.a, compare!.b]);
    expect(compare!.a).toMatch(/two\.result\.csv@[0-9a-f]{12}$/);
    const curves = await server.request(REQUEST.compare, view.moved[0]!.compare!);
    expect(curves.tables.length).toBeGreaterThan(0);
    const last = curves.tables.at(-1)!.rows.at(-1)!.cells;
    expect(last.length).toBeGreaterThan(4);
  });
});

describe('asking for it', () => {
  it('takes another base, and says in words what names none', async () => {
    const tip = await server.request(REQUEST.branch, { base: 'HEAD' });
    expect([tip.base, tip.changed, tip.moved]).toEqual(['HEAD', [], []]);
    expect(tip.sentences.slice(0, 2)).toEqual([
      'Nothing that results are judged by moved here.',
      'No result and no log changed.',
    ]);
    await expect(server.request(REQUEST.branch, { base: 'no-such' })).rejects.toThrow(
      '"no-such" names no commit of this clone.',
    );
    await expect(server.request(REQUEST.branch, { base: '--upload-pack=touch x' })).rejects.toThrow('names no commit');
    await expect(server.request(REQUEST.branch, { uri: 'file:///elsewhere/x' })).rejects.toThrow(
      'lies in no damper-spec repository',
    );
  });

  it('counts what is not committed yet', async () => {
    git.put({ [SPECS.front]: specText('alder-front', '9 %') });
    try {
      const now = await server.request(REQUEST.branch, {});
      expect(now.sentences[2]).toContain('with changes that are not committed yet');
      expect(now.moved.map(({ file }) => file)).toContain(SPECS.front);
    } finally {
      git.git('checkout', '--', SPECS.front);
    }
  });

  it('tells its progress, and is stopped when asked to', async () => {
    const told: string[] = [];
    const stop = new CancellationTokenSource();
    const listening = server.client.onProgress(WorkDoneProgress.type, 'token-1', (progress) => {
      told.push(progress.kind);
      stop.cancel();
    });
    const asked = server.client.sendRequest(REQUEST.branch, { workDoneToken: 'token-1' }, stop.token);
    await expect(asked).rejects.toMatchObject({ code: -32800 });
    listening.dispose();
    expect(told[0]).toBe('begin');
    expect(told.at(-1)).toBe('end');
  });

  it('gives an older question up for a newer one, and none for another base', async () => {
    const [older, other, newer] = await Promise.allSettled([
      server.request(REQUEST.branch, {}),
      server.request(REQUEST.branch, { base: 'main' }),
      server.request(REQUEST.branch, {}),
    ]);
    expect(older).toMatchObject({ status: 'rejected', reason: { code: -32800 } });
    expect(other).toMatchObject({ status: 'fulfilled', value: { base: 'main' } });
    expect(newer.status === 'fulfilled' ? newer.value : undefined).toEqual(view);
  });
});

describe('where there is no history', () => {
  it('starts no git in restricted mode, and says so', async () => {
    const made = gitPlatform(folder, store);
    const open = [pathToFileURL(folder).href];
    const restricted = await StartedServer.start({ platform: made.platform, open, trusted: false });
    await expect(restricted.request(REQUEST.branch, {})).rejects.toThrow('restricted mode: no program is started');
    expect(made.opened()).toBe(0);
    await restricted.stop();
  });

  it('says so in a browser', async () => {
    const browser = await StartedServer.start({ browser: true });
    await expect(browser.request(REQUEST.branch, {})).rejects.toThrow('There is no git history here');
    await browser.stop();
  });

  it('says so in a folder that is not under git', async () => {
    const bare = realpathSync(mkdtempSync(join(tmpdir(), 'damper-no-git-')));
    new ScriptedGit(bare).put(await workshopFiles());
    const { platform } = gitPlatform(bare, store);
    const started = await StartedServer.start({ platform, open: [pathToFileURL(bare).href] });
    await expect(started.request(REQUEST.branch, {})).rejects.toThrow(/git/);
    await started.stop();
    rmSync(bare, { recursive: true, force: true });
  });
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { expect } from 'vitest';
import type { ListedProblem } from './host/problemsView';
import { lineOf, type Scene } from './host/scene';
import { stateOf } from './host/waiting';

/**
 * What the editor must show of the sample repository, state by state, as samples/README.md describes it: F-002 build 2 is softer in rebound from
 * 300 to 500 mm/s, F-003 build 1 softer in compression. Checked in a window of its own and beside a large log.
 */
export const FAILED = 'dampers/F-002/build-2/delivery.result.csv';
export const PASSED = 'dampers/F-002/build-1/delivery.result.csv';
const REFERENCE = 'specs/larch-front.refcurve.csv';
const SPEC = 'specs/larch-front.damper.yaml';
const ROW = '6,4,6,400,';

const of = (file: string, all: readonly ListedProblem[]): ListedProblem[] =>
  all.filter((one) => one.file.endsWith(file));
const drifts = (all: readonly ListedProblem[]): ListedProblem[] =>
  all.filter(({ severity, text }) => severity === 'error' && text.includes('of tolerance'));

/** The drifting rebuild stands in Problems, one entry for its side and band. */
export async function listsTheDriftingRebuild({ editor }: Scene): Promise<void> {
  await editor.problems.show('drift-from-reference');
  const listed = await editor.problems.where('drift of F-002 build 2', (all) => of(FAILED, drifts(all)).length > 0);
  expect(of(FAILED, drifts(listed)).map(({ text }) => text.slice(0, 66))).toEqual([
    'F-002 build 2: rebound 300 to 500 mm/s is 185 % of tolerance, soft',
  ]);
  expect(of('dampers/F-003/build-1/delivery.result.csv', drifts(listed))).toHaveLength(1);
  expect(of(PASSED, drifts(listed))).toEqual([]);
}

/** A number that is edited by hand raises `result-altered`, and the quick fix mends it. */
export async function raisesAndMendsAlteredResult({ editor, folder }: Scene, picture: string): Promise<void> {
  const row = lineOf(folder, PASSED, new RegExp(`^${ROW}`));
  await editor.texts.open(PASSED, row);
  const text = async (): Promise<string | undefined> =>
    (await editor.texts.visibleLines()).find((line) => line.startsWith(ROW));
  const before = await text();
  await editor.texts.goToLine(row, `${ROW}1`);
  await editor.page.keyboard.press('Shift+ArrowRight');
  await editor.page.keyboard.type('9');
  await editor.problems.show('result-altered');
  const altered = await editor.problems.where('result-altered', (all) => of(PASSED, all).length === 1);
  await editor.shot(picture);
  expect(altered[0]?.severity).toBe('error');
  expect(await text()).not.toBe(before);
  await editor.texts.quickFix('Reduce');
  await editor.problems.where('no result-altered', (all) => of(PASSED, all).length === 0);
  // Hints stand in the lines as they are drawn; those of the altered number go with it.
  await stateOf(
    'the line as it was',
    async () => (await text()) === before,
    async () => (await text()) ?? '',
  );
}

/** Results are judged by the unsaved text of their reference, and undo brings back what was. */
export async function judgesByUnsavedReference({ editor, folder }: Scene, picture: string): Promise<void> {
  await editor.problems.show('drift-from-reference');
  await editor.problems.where('the drifts', (all) => of(FAILED, drifts(all)).length === 1);
  const before = await editor.problems.count();
  const row = lineOf(folder, REFERENCE, new RegExp(`^${ROW}`));
  await editor.texts.open(REFERENCE, row);
  const text = (await editor.texts.visibleLines()).find((line) => line.startsWith(ROW)) ?? '';
  const cells = text.split(',');
  cells[4] = String(Math.round(Number(cells[4]) * 1.5));
  await editor.page.keyboard.press('End');
  await editor.page.keyboard.press('Shift+Home');
  await editor.page.keyboard.insertText(cells.join(','));
  await editor.problems.show('**/F-002/**, drift-from-reference');
  await editor.problems.where('the drift of build 1', (all) => of(PASSED, drifts(all)).length === 1);
  await editor.problems.show('drift-from-reference');
  await stateOf('more drifts', async () => (await editor.problems.count()) > before + 3);
  await editor.shot(picture);
  await editor.texts.goToLine(row);
  await editor.page.keyboard.press('Control+z');
  await stateOf('the drifts as before', async () => (await editor.problems.count()) === before);
}

/** A tolerance that is broken is shown at its key. */
export async function showsBrokenToleranceAtItsKey({ editor, folder }: Scene, picture: string): Promise<void> {
  const line = lineOf(folder, SPEC, /^ {2}compression: \{ relative: 5 %/);
  await editor.texts.open(SPEC, line);
  await editor.page.keyboard.press('End');
  await editor.page.keyboard.press('Shift+Home');
  await editor.page.keyboard.insertText('compression: { relative: 5 parsec, absolute: 20 N }');
  await editor.problems.show('larch-front.damper.yaml');
  const listed = await editor.problems.where('the broken tolerance', (all) => of(SPEC, all).length > 0);
  await editor.shot(picture);
  expect(of(SPEC, listed)[0]).toMatchObject({ severity: 'error' });
  expect(await editor.problems.lineOf('parsec')).toBe(line);
  await editor.command('File: Revert File');
  await editor.problems.where('a sound spec', (all) => of(SPEC, all).length === 0);
}

export const titleOf = (frame: Frame): Promise<string> =>
  frame.evaluate(() => document.querySelector('h1')?.textContent ?? '');
const shownRow = (frame: Frame): Promise<string | undefined> => frame.evaluate(() => document.body.dataset['row']);

/** The preview of a file once it shows it. @param starts what its title holds */
export async function previewOf({ editor }: Scene, path: string, starts: string): Promise<Frame> {
  await editor.texts.open(path);
  if (!(await editor.texts.hasTab('Preview: '))) await editor.command('Damper Spec Review: Open Preview to the Side');
  let frame = await editor.ourPage('preview');
  await stateOf(`the preview of ${path}`, async () => {
    frame = await editor.ourPage('preview');
    return (await titleOf(frame).catch(() => '')).includes(starts); // replaced meanwhile
  });
  return frame;
}

/** 1-based line of the seventh row of numbers. */
const seventhRow = (folder: string): number => lineOf(folder, FAILED, /^6,4,6,25,/) + 6;

/** The row that the cursor is on is marked in every chart and table. */
export async function marksPointsOfRow(scene: Scene, picture: string): Promise<void> {
  const { editor, folder } = scene;
  const frame = await previewOf(scene, FAILED, 'F-002 build 2');
  const seventh = seventhRow(folder);
  await editor.texts.goToLine(seventh);
  await stateOf('row 7 marked', async () => (await shownRow(frame)) === String(seventh));
  const labels = await frame.$$eval('[role=option][aria-selected=true]', (options) =>
    options.map((o) => o.getAttribute('aria-label') ?? ''),
  );
  expect(labels.length).toBeGreaterThanOrEqual(2); // both sides in both charts
  for (const label of labels) expect(label).toContain('500 mm/s');
  expect(await frame.$$eval('tr.chosen', (rows) => rows.length)).toBeGreaterThanOrEqual(1);
  await editor.shot(picture);
}

/** A point that is clicked selects its row. */
export async function selectsRowOfPoint(scene: Scene): Promise<void> {
  const { editor, folder } = scene;
  const frame = await previewOf(scene, FAILED, 'F-002 build 2');
  const seventh = seventhRow(folder);
  await editor.texts.goToLine(seventh - 3);
  await frame.locator(`[role=option][data-row="${seventh}"]`).first().click();
  await stateOf('the cursor in row 7', async () => (await editor.texts.cursorLine()) === seventh);
  await stateOf('point 7 marked', async () => (await shownRow(frame)) === String(seventh));
}

/** Two builds side by side: overlay, difference, significance. */
export async function comparesTwoBuilds({ editor }: Scene, picture: string): Promise<void> {
  await editor.command('Damper Spec Review: Compare Builds, Results or Revisions…');
  await editor.quick.choose('F-002', 'build 1');
  await editor.quick.choose('F-002', 'build 2');
  const frame = await editor.ourPage('comparison');
  expect(await frame.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(2);
  const shown = await frame.evaluate(() => document.body.innerText);
  expect(shown).toMatch(/F-002/);
  expect(shown).toMatch(/changed|rebuild|significan/i);
  expect(await frame.$$eval('table tbody tr', (rows) => rows.length)).toBeGreaterThanOrEqual(12);
  await editor.shot(picture);
  await editor.command('View: Close Editor');
}

/** What the CSV button of a chart saves: its rows by column, as it draws them. */
export async function savedRows(
  { editor, folder }: Scene,
  frame: Frame,
  chart: string,
): Promise<readonly ReadonlyMap<string, string>[]> {
  const target = join(folder, `${chart}.csv`);
  await frame.locator(`#${chart}-csv`).click();
  await editor.quick.saveAs(target);
  const text = (): string => {
    try {
      return readFileSync(target, 'utf8');
    } catch {
      return '';
    }
  };
  await stateOf(`the rows of ${chart} saved`, () => text().endsWith('\r\n'));
  const [head = '', ...lines] = text().trimEnd().split('\r\n');
  const names = head.split(',');
  return lines.map((line) => new Map(line.split(',').map((cell, i) => [names[i] ?? '', cell])));
}

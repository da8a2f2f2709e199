import { expect, it } from 'vitest';
import { lineOf, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';
import type { ListedProblem } from './host/problemsView';

/**
 * Findings in the Problems view, with the sample repository as samples/README.md describes it: F-002 build 2 is softer in rebound from 300 to
 * 500 mm/s, F-003 build 1 softer in compression.
 */
const scene = sceneOf();
const FAILED = 'dampers/F-002/build-2/delivery.result.csv';
const PASSED = 'dampers/F-002/build-1/delivery.result.csv';

const of = (file: string, all: readonly ListedProblem[]): ListedProblem[] =>
  all.filter((one) => one.file.endsWith(file));
const drifts = (all: readonly ListedProblem[]): ListedProblem[] =>
  all.filter(({ severity, text }) => severity === 'error' && text.includes('of tolerance'));

it('lists the drifting rebuild though no file is open, one entry for its side and band', async () => {
  const { editor } = scene;
  expect(await editor.page.locator('.editor-group-container .tab').count()).toBe(0);
  await editor.problems.show('drift-from-reference');
  const listed = await editor.problems.where('drift of F-002 build 2', (all) => of(FAILED, drifts(all)).length > 0);
  expect(of(FAILED, drifts(listed)).map(({ text }) => text.slice(0, 66))).toEqual([
    'F-002 build 2: rebound 300 to 500 mm/s is 185 % of tolerance, soft',
  ]);
  expect(of('dampers/F-003/build-1/delivery.result.csv', drifts(listed))).toHaveLength(1);
  expect(of(PASSED, drifts(listed))).toEqual([]);
  await editor.shot('problems-no-file-open');
});

it('raises result-altered for a number edited by hand, and the quick fix mends it', async () => {
  const { editor } = scene;
  await editor.texts.open(PASSED, 24);
  const before = (await editor.texts.visibleLines()).find((line) => line.startsWith('6,4,6,400,'));
  await editor.texts.goToLine(24, '6,4,6,400,1');
  await editor.page.keyboard.press('Shift+ArrowRight');
  await editor.page.keyboard.type('9');
  await editor.problems.show('result-altered');
  const altered = await editor.problems.where('result-altered', (all) => of(PASSED, all).length === 1);
  await editor.shot('problems-result-altered');
  expect(altered[0]?.severity).toBe('error');
  await editor.texts.quickFix('Reduce');
  await editor.problems.where('no result-altered', (all) => of(PASSED, all).length === 0);
  expect((await editor.texts.visibleLines()).find((line) => line.startsWith('6,4,6,400,'))).toBe(before);
});

it('judges results again by the unsaved text of their reference, and undo brings back what was', async () => {
  const { editor } = scene;
  await editor.problems.show('drift-from-reference');
  await editor.problems.where('the drifts', (all) => of(FAILED, drifts(all)).length === 1);
  const before = await editor.problems.count();
  const row = lineOf(scene.folder, 'specs/larch-front.refcurve.csv', /^6,4,6,400,/);
  await editor.texts.open('specs/larch-front.refcurve.csv', row);
  const text = (await editor.texts.visibleLines()).find((line) => line.startsWith('6,4,6,400,')) ?? '';
  const cells = text.split(',');
  cells[4] = String(Math.round(Number(cells[4]) * 1.5));
  await editor.page.keyboard.press('End');
  await editor.page.keyboard.press('Shift+Home');
  await editor.page.keyboard.insertText(cells.join(','));
  await editor.problems.show('**/F-002/**, drift-from-reference');
  await editor.problems.where('the drift of build 1', (all) => of(PASSED, drifts(all)).length === 1);
  await editor.problems.show('drift-from-reference');
  await stateOf('more drifts', async () => (await editor.problems.count()) > before + 3);
  await editor.shot('problems-unsaved-reference');
  await editor.texts.goToLine(row);
  await editor.page.keyboard.press('Control+z');
  await stateOf('the drifts as before', async () => (await editor.problems.count()) === before);
});

it('shows a broken tolerance at its key', async () => {
  const { editor } = scene;
  await editor.texts.open('specs/larch-front.damper.yaml');
  const line = lineOf(scene.folder, 'specs/larch-front.damper.yaml', /^ {2}compression: \{ relative: 5 %/);
  await editor.texts.goToLine(line);
  await editor.page.keyboard.press('End');
  await editor.page.keyboard.press('Shift+Home');
  await editor.page.keyboard.type('compression: {{} relative: 5 parsec, absolute: 20 N }'.replace('{{}', '{'), {
    delay: 1,
  });
  await editor.problems.show('larch-front.damper.yaml');
  const listed = await editor.problems.where(
    'the broken tolerance',
    (all) => of('specs/larch-front.damper.yaml', all).length > 0,
  );
  await editor.shot('problems-broken-tolerance');
  expect(of('specs/larch-front.damper.yaml', listed)[0]).toMatchObject({ severity: 'error' });
  expect(await editor.problems.lineOf('parsec')).toBe(line);
  await editor.command('File: Revert File');
  await editor.problems.where('a sound spec', (all) => of('specs/larch-front.damper.yaml', all).length === 0);
});

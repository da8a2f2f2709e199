import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { lineOf, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';
import type { ListedProblem } from './host/problemsView';

const scene = sceneOf();
const RESULT = 'dampers/F-002/build-2/delivery.result.csv';
const PASSED = 'dampers/F-002/build-1/delivery.result.csv';
const LOG = 'dampers/F-002/build-2/delivery.testlog.csv.gz';

const heading = async (): Promise<string> => {
  const frame = await scene.editor.ourPage('preview');
  return frame.evaluate(() => document.querySelector('h1')?.textContent ?? '');
};

it('opens a packed log as a chart, readonly', async () => {
  const { editor } = scene;
  await editor.texts.openAs(LOG, 'Damper Test Log as Chart');
  const frame = await editor.ourPage('preview');
  await stateOf('the verdict of the log', async () => (await heading()).includes('F-002 build 2'));
  expect(await frame.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(2);
  expect(await editor.page.locator('.editor-group-container .monaco-editor .view-line').count()).toBe(0);
  await editor.shot('log-as-chart');
  await editor.command('View: Close All Editors');
});

it('never shows an older set after a newer one over 50 edits in a row, and ends with that of the last text', async () => {
  const { editor } = scene;
  await editor.texts.open(PASSED);
  const row = lineOf(scene.folder, PASSED, /^6,4,6,400,/);
  await editor.problems.show('result-altered');
  await editor.texts.goToLine(row);
  await editor.page.keyboard.press('Home');
  for (let i = 0; i < '6,4,6,400,'.length; i++) await editor.page.keyboard.press('ArrowRight');
  const shown = await readingsShown(editor.page);
  const typed = Array.from({ length: 50 }, (_, edit) => String((edit % 9) + 1));
  for (const digit of typed) await editor.page.keyboard.press(digit);
  // The finding quotes the line that it was found in, so each set says which text it is of.
  const ofLast = (one: ListedProblem): boolean =>
    one.file.endsWith(PASSED) && one.text.includes(`reads "6,4,6,400,${typed.join('')}`);
  await editor.problems.settled('one, of the last text', (all) => all.filter(ofLast).length === 1);
  await editor.shot('problems-after-50-edits');
  const readings = await shown();
  expect(readings.length).toBeGreaterThan(0);
  expect(readings).toEqual([...readings].sort((a, b) => a - b));
  await editor.command('File: Revert File');
  await editor.problems.settled('none as it was saved', (all) => !all.some(({ file }) => file.endsWith(PASSED)));
});

/** Watches the Problems view from now on; gives how many digits the quoted number had, in the order in which the view showed them. */
async function readingsShown(page: Page): Promise<() => Promise<number[]>> {
  await page.evaluate(() => {
    const seen: number[] = [];
    Object.assign(window, { seenReadings: seen });
    const look = (): void => {
      const text = document.querySelector('.markers-panel')?.textContent ?? '';
      const digits = /reads "6,4,6,400,(\d+)/.exec(text)?.[1]?.length;
      if (digits !== undefined && digits !== seen.at(-1)) seen.push(digits);
    };
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  return () => page.evaluate(() => (window as unknown as { seenReadings: number[] }).seenReadings);
}

it('brings the preview back after the window is loaded again', async () => {
  const { editor } = scene;
  await editor.texts.open(RESULT);
  await editor.command('Damper Spec Review: Open Preview to the Side');
  await stateOf('the preview', async () => (await heading()).includes('F-002 build 2'));
  await editor.reload();
  await stateOf('the preview after the reload', async () => (await heading()).includes('F-002 build 2'));
  await editor.shot('preview-after-reload');
});

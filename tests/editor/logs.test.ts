import { expect, it } from 'vitest';
import { sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const scene = sceneOf();
const RESULT = 'dampers/F-002/build-2/delivery.result.csv';
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

it('brings the preview back after the window is loaded again', async () => {
  const { editor } = scene;
  await editor.texts.open(RESULT);
  await editor.command('Damper Spec Review: Open Preview to the Side');
  await stateOf('the preview', async () => (await heading()).includes('F-002 build 2'));
  await editor.reload();
  await stateOf('the preview after the reload', async () => (await heading()).includes('F-002 build 2'));
  await editor.shot('preview-after-reload');
});

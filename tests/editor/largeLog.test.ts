import { closeSync, mkdirSync, openSync, readFileSync, statSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import { copyOfSamples, lineOf, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const RESULT = 'dampers/F-002/build-2/delivery.result.csv';
const LARGE = 'dampers/F-009/build-1/delivery.testlog.csv';
const LARGE_BYTES = 300_000_000;
const sampled = gunzipSync(readFileSync('samples/dampers/F-002/build-2/delivery.testlog.csv.gz')).toString();

/** The samples and beside them one log of 300 MB: every row of a sample stands as often as it takes, in as many parts of its interval. */
const scene = sceneOf(() => copyOfSamples(writeLargeLog));

function writeLargeLog(folder: string): void {
  mkdirSync(join(folder, 'dampers/F-009/build-1'), { recursive: true });
  const lines = sampled.trimEnd().split('\n');
  const start = lines.findIndex((line) => line.startsWith('time'));
  const rows = lines
    .slice(start + 1)
    .map((line) => ({ time: Number.parseFloat(line), rest: line.slice(line.indexOf(',')) }));
  const often = Math.ceil(LARGE_BYTES / rows.reduce((bytes, { rest }) => bytes + rest.length + 9, 0));
  const file = openSync(join(folder, LARGE), 'w');
  const head = lines.slice(0, start + 1).join('\n');
  writeSync(file, `${head.replace('F-002', 'F-009').replace('build: 2', 'build: 1')}\n`);
  for (const { time, rest } of rows) {
    let block = '';
    for (let part = 0; part < often; part++) block += `${(time + (0.002 * part) / often).toFixed(6)}${rest}\n`;
    writeSync(file, block);
  }
  closeSync(file);
}

/** Largest and smallest of the force column of the sampled rows [N]. */
function forcesSampled(): { most: number; least: number } {
  const rows = sampled.trimEnd().split('\n');
  const forces = rows
    .slice(rows.findIndex((line) => line.startsWith('time')) + 1)
    .map((row) => Number(row.split(',')[3]));
  return { most: Math.max(...forces), least: Math.min(...forces) };
}

it('judges it beside the others, and the preview of another file follows its cursor', async () => {
  expect(statSync(join(scene.folder, LARGE)).size).toBeGreaterThanOrEqual(LARGE_BYTES);
  const { editor } = scene;
  await editor.texts.open(RESULT);
  await editor.command('Damper Spec Review: Open Preview to the Side');
  const frame = await editor.ourPage('preview');
  const seventh = lineOf(scene.folder, RESULT, /^6,4,6,25,/) + 6;
  await editor.texts.goToLine(seventh);
  await stateOf(
    'row 7 marked',
    async () => (await frame.evaluate(() => document.body.dataset['row'])) === String(seventh),
  );
  await editor.problems.show('rebound 300 to 500');
  await editor.problems.where('the drift of both', (all) =>
    ['F-002/build-2', 'F-009/build-1'].every((place) => all.some(({ file }) => file.includes(place))),
  );
  await editor.shot('large-log-beside');
  await editor.command('View: Close All Editors');
});

it('is not shown as text, and as a chart its loops reach as far as its samples', async () => {
  const { editor } = scene;
  await editor.texts.openUnread(LARGE);
  await editor.page.waitForSelector('.monaco-editor-pane-placeholder');
  expect(await editor.page.locator('.editor-group-container .view-line').count()).toBe(0);
  await editor.shot('large-log-as-text');
  await editor.command('View: Reopen Editor With...');
  await editor.quick.choose('Damper Test Log as Chart');
  const frame = await editor.ourPage('preview');
  expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain('F-009 build 1');
  await editor.shot('large-log-as-chart');
  const target = join(scene.folder, 'loops.csv');
  const loops = frame.locator('figure').filter({ hasText: 'load cell force' });
  await loops.locator('button', { hasText: 'CSV' }).first().click();
  await editor.quick.saveAs(target);
  await stateOf('the loops saved', () => (statSync(target, { throwIfNoEntry: false })?.size ?? 0) > 0);
  const [head = '', ...rows] = readFileSync(target, 'utf8').trimEnd().split('\r\n');
  const column = head.split(',').indexOf('force');
  const forces = rows.map((row) => Number(row.split(',')[column])).filter((force) => Number.isFinite(force));
  const { most, least } = forcesSampled();
  // A loop is the mean of its cycles, so it may miss the noise of single samples: 1 % of the range.
  const noise = (most - least) / 100;
  expect(Math.abs(Math.max(...forces) - most)).toBeLessThan(noise);
  expect(Math.abs(Math.min(...forces) - least)).toBeLessThan(noise);
});

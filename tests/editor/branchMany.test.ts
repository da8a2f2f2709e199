import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { expect, it } from 'vitest';
import { copyOfSamples, git, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const RESULT = 'dampers/F-002/build-1/delivery.result.csv';
const ADDED = 45;
const AT_FIRST = 40;

/** A branch that adds more results than the page draws at first. */
const scene = sceneOf(() =>
  copyOfSamples((folder) => {
    git(folder, 'checkout', '--quiet', '-b', 'many');
    const text = readFileSync(join(folder, RESULT), 'utf8');
    for (let unit = 1; unit <= ADDED; unit++) {
      const serial = `F-${100 + unit}`;
      const build = join(folder, 'dampers', serial, 'build-1');
      mkdirSync(build, { recursive: true });
      writeFileSync(join(build, 'delivery.result.csv'), text.replace('# serial: F-002', `# serial: ${serial}`));
    }
    git(folder, 'add', '--all');
    git(folder, 'commit', '--quiet', '--message=Many more');
  }),
);

const drawnCharts = (frame: Frame): Promise<number> => frame.$$eval('section.changed svg', (charts) => charts.length);

it('draws the first 40 results, says so, draws more when asked, and keeps that over a reload', async () => {
  const { editor } = scene;
  await editor.command('Damper Spec Review: Review Branch');
  let frame = await editor.ourPage('branch');
  await stateOf('the first charts', async () => (await drawnCharts(frame)) === AT_FIRST);
  expect(await frame.$$eval('section.changed', (all) => all.length)).toBe(ADDED);
  const said = await frame.evaluate(() => document.body.innerText);
  expect(said).toContain(`${ADDED - AT_FIRST} more results listed without a chart; the button below them draws more.`);
  expect(said).toContain(`Charts of the first ${AT_FIRST} of ${ADDED} results are drawn.`);
  const more = frame.locator('#draw-more');
  expect(await more.textContent()).toBe(`Draw ${ADDED - AT_FIRST} more`);
  await more.scrollIntoViewIfNeeded();
  await editor.shot('branch-draw-more');
  await more.focus();
  await editor.page.keyboard.press('Enter');
  await stateOf('every chart', async () => (await drawnCharts(frame)) === ADDED);
  expect(await frame.locator('#draw-more').count()).toBe(0);
  await editor.reload();
  frame = await editor.ourPage('branch');
  await stateOf('every chart after the reload', async () => (await drawnCharts(frame)) === ADDED);
});

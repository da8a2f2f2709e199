import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { expect, it } from 'vitest';
import { copyOfSamples, git, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';
import { comparesTwoBuilds } from './states';

const RESULT = 'dampers/F-002/build-1/delivery.result.csv';
const SPEC = 'specs/larch-front.damper.yaml';

/** Two commits: the second one changes a number of a result and a tolerance of its spec; a third change is in the work tree. */
const scene = sceneOf(() =>
  copyOfSamples((folder) => {
    replaceIn(join(folder, RESULT), /^(6,4,6,400,)[^,]+/m, '$11150.0');
    replaceIn(
      join(folder, SPEC),
      'rebound: { relative: 5 %, absolute: 20 N }',
      'rebound: { relative: 7 %, absolute: 20 N }',
    );
    git(folder, 'commit', '--quiet', '--all', '--message=Second');
    replaceIn(join(folder, RESULT), /^(6,4,6,500,)[^,]+/m, '$11300.0');
  }),
);

function replaceIn(path: string, from: RegExp | string, to: string): void {
  const before = readFileSync(path, 'utf8');
  const after = before.replace(from, to);
  if (after === before) throw new Error(`${path} was not changed.`);
  writeFileSync(path, after);
}

const text = (frame: Frame): Promise<string> => frame.evaluate(() => document.body.innerText);

it('lists specs, dampers and builds with their verdicts', async () => {
  const { editor } = scene;
  await editor.page.locator('.activitybar .action-label[aria-label="Dampers"]').click();
  await stateOf('the tree', async () => (await editor.treeRows()).some((row) => row.includes('F-002')));
  expect((await editor.treeRows()).some((row) => /F-00[123].*fail/.test(row))).toBe(true);
  await editor.shot('tree');
});

it('holds two builds side by side, chosen from the palette: overlay, difference, significance', () =>
  comparesTwoBuilds(scene, 'compare-builds'));

it('holds two revisions against each other and says what changed in the spec', async () => {
  const { editor } = scene;
  await editor.command('Damper Spec Review: Compare Builds, Results or Revisions…');
  for (const revision of ['HEAD~1', 'HEAD']) {
    await editor.quick.choose('A revision');
    await editor.quick.answer(`${RESULT}@${revision}`);
  }
  const frame = await editor.ourPage('comparison');
  const whole = await frame.evaluate(() => document.body.textContent);
  expect(whole).toMatch(/tolerance\.rebound\.softer\.relative\s*0\.05\s*0\.07/); // key, in A, in B
  expect(whole).toMatch(/More than the scatter between cycles in 1 point of 24/);
  await editor.shot('compare-revisions');
  await editor.command('View: Close Editor');
});

it('shows both sides of a text difference as curves, from its title bar', async () => {
  const { editor } = scene;
  await editor.texts.open(RESULT);
  await editor.command('Git: Open Changes');
  await editor.page.waitForSelector('.monaco-diff-editor .view-line');
  await editor.page.locator('.editor-actions a[aria-label*="Show Both Sides as Curves"]').first().click();
  const frame = await editor.ourPage('comparison');
  expect(await frame.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(1);
  expect(await text(frame)).toContain('HEAD');
  await editor.shot('compare-diff');
});

it('shows the adjusters of a sweep', async () => {
  const { editor } = scene;
  await editor.texts.open('dampers/F-001/build-1/sweep-HSC.result.csv');
  await editor.command('Damper Spec Review: Show Adjusters');
  const frame = await editor.ourPage('adjusters', '');
  await stateOf('the adjusters', async () => /HSC/.test(await text(frame)));
  await editor.shot('adjusters');
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { sceneOf } from './host/scene';
import { stateOf } from './host/waiting';
import { FAILED, marksPointsOfRow, previewOf, selectsRowOfPoint, titleOf } from './states';

const scene = sceneOf();
const SWEEP = 'dampers/F-001/build-1/sweep-HSC.result.csv';

const shownRow = (frame: Frame): Promise<string | undefined> => frame.evaluate(() => document.body.dataset['row']);
describe('the preview', () => {
  it('follows the active file and stays with one when it is locked', async () => {
    const { editor } = scene;
    let frame = await previewOf(scene, FAILED, 'F-002 build 2');
    expect(await frame.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(2);
    await editor.shot('preview-light');
    frame = await previewOf(scene, 'dampers/R-002/build-1/delivery.result.csv', 'R-002 build 1');
    await editor.command('Damper Spec Review: Lock or Unlock Preview');
    await stateOf('a locked preview', () => editor.texts.hasTab('Locked preview: '));
    await editor.texts.open(FAILED);
    expect(await titleOf(frame)).toContain('R-002 build 1');
    await editor.command('Damper Spec Review: Lock or Unlock Preview');
    await stateOf('a preview that follows', async () =>
      (await titleOf(await editor.ourPage('preview'))).includes('F-002 build 2'),
    );
  });

  it('marks the points of the row that the cursor is on, in every chart and table', () =>
    marksPointsOfRow(scene, 'preview-row-7'));

  it('selects the row of a point that is clicked', () => selectsRowOfPoint(scene));

  it('is reached and read by keyboard, point by point', async () => {
    const { editor } = scene;
    const frame = await previewOf(scene, FAILED, 'F-002 build 2');
    const list = frame.locator('[role=listbox]').first();
    await list.focus();
    const options = await list.locator('[role=option]').count();
    const spoken: string[] = [];
    await editor.page.keyboard.press('Home');
    for (let i = 0; i < options; i++) {
      spoken.push((await frame.locator('#spoken').textContent()) ?? '');
      await editor.page.keyboard.press('ArrowRight');
    }
    expect(new Set(spoken).size).toBe(options);
    for (const text of spoken) expect(text).toMatch(/(compression|rebound).*mm\/s.*(pass|fail|undecided)/);
    await editor.page.keyboard.press('Home');
    await editor.page.keyboard.press('Enter');
    const first = await list.locator('[role=option]').first().getAttribute('data-row');
    await stateOf('the cursor in the first row', async () => String(await editor.texts.cursorLine()) === first);
    const reached = await everyStopOfTab(frame);
    for (const id of await frame.$$eval('[role=listbox]', (all) => all.map((one) => one.id)))
      expect(reached).toContain(id);
  });

  it('switches settings one by one, and goes to the setting of the row that is selected', async () => {
    const { editor } = scene;
    const frame = await previewOf(scene, SWEEP, 'F-001 build 1');
    const labels = await frame.$$eval('#setting option', (all) => all.map((one) => one.textContent));
    expect(labels.length).toBeGreaterThan(4);
    const current = (): Promise<string | undefined> =>
      frame.$eval('#setting', (list) => (list as HTMLSelectElement).selectedOptions[0]?.textContent);
    const at = labels.indexOf((await current()) ?? '');
    const next = at + 1 < labels.length ? 1 : -1;
    await frame.locator(next === 1 ? '#setting-after' : '#setting-before').click();
    await stateOf('the neighbouring setting', async () => (await current()) === labels[at + next]);
    const rows = readFileSync(join(scene.folder, SWEEP), 'utf8').split('\n');
    const row = rows.findIndex((line) => /^6,0,6,1,300,/.test(line)) + 1;
    expect(row).toBeGreaterThan(1);
    await editor.texts.goToLine(row);
    await stateOf('the setting of that row', async () => /HSC 0\b/.test((await current()) ?? ''));
    await stateOf('its point', async () => (await shownRow(frame)) === String(row));
  });

  it('saves a chart as SVG, PNG and CSV through the dialog of the editor', async () => {
    const { editor } = scene;
    const frame = await previewOf(scene, FAILED, 'F-002 build 2');
    for (const [kind, sound] of [
      ['SVG', (bytes: Buffer) => bytes.toString().startsWith('<svg') && !bytes.includes('var(--')],
      ['PNG', (bytes: Buffer) => bytes.subarray(1, 4).toString() === 'PNG' && bytes.length > 5000],
      ['CSV', (bytes: Buffer) => bytes.toString().split('\r\n').length > 12 && bytes.includes('velocity')],
    ] as const) {
      const target = join(scene.folder, `saved.${kind.toLowerCase()}`);
      await frame.locator(`figure button`, { hasText: kind }).first().click();
      await editor.quick.saveAs(target);
      await stateOf(`${kind} saved`, () => exists(target));
      expect(sound(readFileSync(target))).toBe(true);
    }
  });
});

function exists(path: string): boolean {
  try {
    return readFileSync(path).length > 0;
  } catch {
    return false;
  }
}

/** Ids of what the Tab key stops at within the page. */
async function everyStopOfTab(frame: Frame): Promise<string[]> {
  await frame.locator('main').evaluate((main) => {
    main.setAttribute('tabindex', '-1');
    main.focus();
  });
  const stops: string[] = [];
  for (let i = 0; i < 60; i++) {
    await scene.editor.page.keyboard.press('Tab');
    const at = await frame.evaluate(() => (document.hasFocus() ? (document.activeElement?.id ?? '') : undefined));
    if (at === undefined) break;
    stops.push(at);
  }
  return stops;
}

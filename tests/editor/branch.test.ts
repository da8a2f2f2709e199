import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Frame } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { seriousFaults } from './host/accessibility';
import { copyOfSamples, git, sceneOf } from './host/scene';
import { stateOf } from './host/waiting';

const REFERENCE = 'specs/larch-front.refcurve.csv';
const SPEC = 'specs/larch-front.damper.yaml';

/** A branch that bends the reference of the front strut towards the build that fails. */
const scene = sceneOf(() =>
  copyOfSamples((folder) => {
    git(folder, 'checkout', '--quiet', '-b', 'bend');
    const rows = /^(6,4,6,(?:100|200|300|400|500),[^,]+,)(-?[\d.]+)/gm;
    replaceIn(join(folder, REFERENCE), rows, (_, start, force) => `${start}${(Number(force) + 45).toFixed(1)}`);
    git(folder, 'commit', '--quiet', '--all', '--message=Bend the reference');
  }),
);

function replaceIn(path: string, from: RegExp, to: (...groups: string[]) => string): void {
  const before = readFileSync(path, 'utf8');
  const after = before.replace(from, to);
  if (after === before) throw new Error(`${path} was not changed.`);
  writeFileSync(path, after);
}

const text = (frame: Frame): Promise<string> => frame.evaluate(() => document.body.innerText);

async function branchPage(shown?: string): Promise<Frame> {
  if (!(await scene.editor.texts.hasTab('Branch review')))
    await scene.editor.command('Damper Spec Review: Review Branch');
  return scene.editor.ourPage('branch', shown);
}

/** Types a base into the page and asks. */
async function hold(base: string): Promise<void> {
  const frame = await branchPage('');
  await frame.locator('#base').fill(base);
  await frame.locator('#base').press('Enter');
}

describe('the page of a branch', () => {
  it('opens from the title of the tree', async () => {
    const { editor } = scene;
    await editor.page.locator('.activitybar .action-label[aria-label="Dampers"]').click();
    await stateOf('the tree', async () => (await editor.treeRows()).some((row) => row.includes('F-002')));
    await editor.page.locator('.sidebar .title-actions a[aria-label="Review Branch"]').click();
    await editor.ourPage('branch', '');
    await editor.ourPage('branch');
  });

  it('says first what moved, then every result that turns, with its cause and a chart', async () => {
    const frame = await branchPage();
    expect(await frame.evaluate(() => document.querySelector('.first-sentence')?.textContent)).toMatch(
      /^This branch itself moves: reference\. \d+ verdicts? turns?, \d+ of them not by the measurement\.$/,
    );
    const order = await frame.$$eval('#moved li, section.changed', (all) => all.map((one) => one.textContent));
    expect(order[0]).toMatch(/^reference of larch-front changed: 5 points moved/);
    expect(await frame.$$eval('#moved li', (all) => all.length)).toBe(1);
    const changed = await frame.$$eval('section.changed', (all) =>
      all.map((one) => ({
        head: one.querySelector('h3')?.textContent ?? '',
        charts: one.querySelectorAll('svg').length,
      })),
    );
    expect(changed.length).toBeGreaterThanOrEqual(2);
    expect(changed.every(({ head }) => / to (pass|fail|undecided) with the reference$/.test(head))).toBe(true);
    expect(changed.every(({ charts }) => charts >= 1)).toBe(true);
    await scene.editor.shot('branch');
    await frame.locator('section.changed').first().scrollIntoViewIfNeeded();
    await scene.editor.shot('branch-results');
  });

  it('has the figures of each chart in a table', async () => {
    const frame = await branchPage();
    await frame.locator('#changed-1 details summary').press('Enter');
    await stateOf('the table', async () => frame.locator('#changed-1 table').isVisible());
    const rows = await frame.$$eval('#changed-1 tbody tr', (all) =>
      all.map((row) => [...row.children].map((cell) => cell.textContent)),
    );
    expect(rows.length).toBeGreaterThanOrEqual(10);
    const moved = rows.find(([setting, speed]) => setting === 'LSC 6, HSC 4, R 6' && speed === '300')!;
    expect(moved[5]).not.toBe(moved[6]);
    await scene.editor.shot('branch-table');
  });

  it('has a stop at each small chart, whose points are walked, read, and open their rows', async () => {
    const { editor } = scene;
    const frame = await branchPage();
    const list = frame.locator('#changed-1 [role=listbox]');
    await list.focus();
    const options = await list.locator('[role=option]').count();
    expect(options).toBeGreaterThanOrEqual(12);
    await editor.page.keyboard.press('Home');
    const spoken: string[] = [];
    for (let i = 0; i < options; i++) {
      spoken.push((await frame.locator('#spoken').textContent()) ?? '');
      await editor.page.keyboard.press('ArrowRight');
    }
    expect(new Set(spoken).size).toBe(options);
    for (const text of spoken) expect(text).toMatch(/^(compression|rebound).*mm\/s.*(pass|fail|undecided)$/);
    await editor.shot('branch-points');
    const row = Number(await list.locator('[role=option]').last().getAttribute('data-row'));
    await editor.page.keyboard.press('Enter');
    await stateOf('the row in the text', async () => (await editor.texts.cursorLine()) === row);
    await editor.command('View: Close Editor');
  });

  it('opens the comparison of a result before against after, by the keyboard', async () => {
    const { editor } = scene;
    const frame = await branchPage();
    await frame.locator('#changed-1-open').focus();
    await editor.page.keyboard.press('Shift+Tab');
    expect(await frame.evaluate(() => document.activeElement?.id)).toBe('changed-1-compare');
    await editor.page.keyboard.press('Enter');
    const comparison = await editor.ourPage('comparison');
    expect(await text(comparison)).toMatch(/result\.csv@[0-9a-f]{12}/);
    expect(await comparison.$$eval('figure svg', (charts) => charts.length)).toBeGreaterThanOrEqual(1);
    await editor.shot('branch-comparison');
    await editor.command('View: Close Editor');
  });

  it('opens the reference at the row that moved most', async () => {
    const { editor } = scene;
    await (await branchPage()).locator('#moved-1-open').click();
    await stateOf('the reference', () => editor.texts.hasTab('larch-front.refcurve.csv'));
    await editor.command('View: Close Editor');
  });

  it('takes another base, says what names none, and finds its own again', async () => {
    await branchPage();
    await hold('HEAD');
    await stateOf('nothing changed since HEAD', async () =>
      (await text(await branchPage(''))).includes('No result and no log changed.'),
    );
    await hold('no-such-branch');
    await stateOf('the fault', async () =>
      (await text(await branchPage(''))).includes('"no-such-branch" names no commit of this clone.'),
    );
    await scene.editor.shot('branch-no-base');
    await hold('');
    await stateOf('the branch again', async () => (await text(await branchPage(''))).includes('moves: reference'));
  });

  it('asks again when a file changes', async () => {
    const frame = await branchPage();
    replaceIn(
      join(scene.folder, SPEC),
      /rebound: \{ relative: 5 %, absolute: 20 N \}/,
      () => 'rebound: { relative: 7 %, absolute: 20 N }',
    );
    await stateOf('the tolerance that moved', async () =>
      (await text(frame)).includes('tolerance of larch-front changed'),
    );
    expect(await text(frame)).toContain('with changes that are not committed yet');
    git(scene.folder, 'checkout', '--quiet', '--', SPEC);
    await stateOf('the tolerance as it was', async () => !(await text(frame)).includes('tolerance of larch-front'));
  });

  it('stands there again after the window was loaded anew', async () => {
    const { editor } = scene;
    await branchPage();
    await editor.page.evaluate(() => (document.body.dataset['before'] = 'reload'));
    await editor.command('Developer: Reload Window'); // an orderly end: the editor keeps what was open
    await stateOf('the new window', () =>
      editor.page.evaluate(() => document.body.dataset['before'] === undefined).catch(() => false),
    );
    await editor.ourPage('branch', '');
    const frame = await editor.ourPage('branch');
    expect(await text(frame)).toContain('This branch itself moves: reference.');
  });

  it.each(['Dark High Contrast', 'Dark Modern', 'Light Modern'])(
    'has no serious fault of access in %s',
    async (theme) => {
      const { editor } = scene;
      await editor.chooseTheme(theme);
      const frame = await branchPage();
      expect(await seriousFaults(frame)).toEqual([]);
      await editor.shot(`branch-${theme.replaceAll(' ', '-').toLowerCase()}`);
    },
  );
});

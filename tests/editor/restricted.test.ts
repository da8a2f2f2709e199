import { existsSync, rmSync } from 'node:fs';
import { mkdtempSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { startHost, type EditorHost } from './host/editorHost.mjs';
import { ofRun } from './host/runEnvironment';
import { connectBrowser, copyOfSamples } from './host/scene';
import { QUIET_SETTINGS } from './host/settings';
import { stateOf } from './host/waiting';
import { Workbench } from './host/workbench';

/** A host of its own, in which no folder is trusted. */
let host: EditorHost;
let browser: Browser;
let editor: Workbench;
let folder = '';

beforeAll(async () => {
  const userFolder = mkdtempSync(join(ofRun('work'), 'restricted-'));
  host = await startHost({
    userFolder,
    extensionsFolder: ofRun('extensions'),
    settings: QUIET_SETTINGS,
    trusted: false,
  });
  folder = copyOfSamples();
  browser = await connectBrowser();
  editor = await Workbench.open(browser, host.url, folder);
});
afterAll(async () => {
  await editor.close();
  await browser.close();
  await host.stop();
  rmSync(folder, { recursive: true, force: true });
});

it('judges in restricted mode, runs no git, and says what is left out', async () => {
  await editor.page.waitForSelector('.statusbar-item:has-text("Restricted Mode")');
  await editor.problems.show('drift-from-reference');
  await editor.problems.where('drift of F-002 build 2', (all) =>
    all.some(({ file }) => file.includes('F-002/build-2')),
  );
  await editor.texts.open('dampers/F-002/build-2/delivery.result.csv');
  await editor.command('Damper Spec Review: Open Preview to the Side');
  const frame = await editor.ourPage('preview');
  expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain('F-002 build 2 FAIL');
  await editor.command('Damper Spec Review: Compare Builds, Results or Revisions…');
  await stateOf('builds to compare', async () => (await editor.quick.rows()).some((row) => row.includes('F-002')));
  expect((await editor.quick.rows()).some((row) => row.includes('revision'))).toBe(false);
  await editor.page.keyboard.press('Escape');
  await editor.shot('restricted');
  await editor.command('Damper Spec Review: Review Branch');
  const branch = await editor.ourPage('branch', '');
  await stateOf('why there is no branch review', () =>
    branch.evaluate(() => document.body.innerText.includes('restricted mode: no program is started')),
  );
  await editor.shot('restricted-branch');
  await editor.command('Workspaces: Manage Workspace Trust');
  await stateOf('the trust page', async () => (await editor.page.locator('.workspace-trust-editor').count()) > 0);
  await editor.page.locator('.activitybar .action-label[aria-label^="Extensions"]').click();
  await editor.page.locator('.extensions-list .monaco-list-row', { hasText: 'Damper Spec Review' }).first().click();
  await stateOf('what is left out', async () =>
    ((await editor.page.locator('.extension-editor').first().textContent()) ?? '').includes('No program is started'),
  );
  await editor.shot('restricted-what-is-left-out');
  expect(existsSync(join(folder, '.git'))).toBe(true);
});

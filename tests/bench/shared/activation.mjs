/* What waking our extension costs a real editor, as the editor itself times it, beside an extension that does nothing. */
import { cpSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { packCompanion } from '../../editor/host/companions.mjs';
import { installExtension, installHost, startHost } from '../../editor/host/editorHost.mjs';
import { CHROMIUM, CHROMIUM_ARGUMENTS, QUIET } from './editor.mjs';

const OURS = 'Damper Spec Review';
const IDLE = 'Does nothing, for the bench';

/**
 * Opens a repository in a new window as often as asked, and reads from the editor's list of running extensions how long loading and activating took
 * [ms]: ours, and a companion's that is woken by the same and does nothing.
 */
export async function activationTimes(root, folder, rounds) {
  installHost();
  const repository = join(folder, 'samples');
  cpSync(join(root, 'samples'), repository, { recursive: true });
  const extensionsFolder = join(folder, 'extensions');
  mkdirSync(extensionsFolder, { recursive: true });
  installExtension(join(root, 'build/damper-spec-review.vsix'), extensionsFolder);
  installExtension(packCompanion('idle', folder), extensionsFolder);
  const host = await startHost({ userFolder: join(folder, 'user'), extensionsFolder, settings: QUIET });
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: CHROMIUM_ARGUMENTS });
  try {
    const times = [];
    for (let round = 0; round < rounds; round++) {
      const page = await browser.newPage({ viewport: { width: 1300, height: 900 } });
      await page.goto(`${host.url}/?folder=${encodeURIComponent(repository)}`);
      await page.waitForSelector('.monaco-workbench .part.statusbar .statusbar-item', { timeout: 60_000 });
      times.push(await runningTimes(page));
      await page.close();
    }
    return times;
  } finally {
    await browser.close();
    await host.stop();
  }
}

/** Reads the list until both are in it with a time. */
async function runningTimes(page) {
  const rows = page.locator('.runtime-extensions-editor .monaco-list-row');
  for (let tries = 0; tries < 60; tries++) {
    if ((await rows.count()) === 0) await showRunning(page);
    await page.waitForTimeout(500);
    const texts = await rows.allTextContents();
    const timeOf = (name) => /Activation: (\d+)ms/.exec(texts.find((text) => text.includes(name)) ?? '')?.[1];
    const [ours, idle] = [timeOf(OURS), timeOf(IDLE)];
    if (ours !== undefined && idle !== undefined) return { ours: Number(ours), idle: Number(idle) };
  }
  throw new Error('The editor did not list both extensions with their times.');
}

async function showRunning(page) {
  const title = 'Developer: Show Running Extensions';
  await page.keyboard.press('Escape');
  await page.keyboard.press('F1');
  await page.locator('.quick-input-widget input').first().fill(`>${title}`);
  const row = page.locator(`.quick-input-widget .monaco-list-row[aria-label^="${title}"]`).first();
  await row.click({ timeout: 5000 }).catch(() => undefined); // asked again by the next look
}

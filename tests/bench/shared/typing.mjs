/* global window, document, MutationObserver, requestAnimationFrame -- inside the page */
/* Types into a result in a real editor and times each key from its event to the frame that shows it. */
import { spawnSync } from 'node:child_process';
import { appendFileSync, cpSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { installExtension, installHost, startHost } from '../../editor/host/editorHost.mjs';
import { CHROMIUM, CHROMIUM_ARGUMENTS, QUIET } from './editor.mjs';

const RESULT = 'dampers/R-002/build-1/delivery.result.csv';
export const LARGE_LOG = 'dampers/R-002/build-1/large.testlog.csv';
export const PREAMBLE = ['formatVersion: 1', 'spec: larch-rear', 'serial: R-002', 'build: 1', 'setting: {C: 5, R: 5}'];
/** [ms] Longer than the quiet time of a review, so that each key ends a review that is under way and begins another. */
const BETWEEN_KEYS = 200;

/** An editor with the packed extension on a copy of the samples; `use` types. Everything that was started is ended. */
export async function withEditor(root, folder, use) {
  installHost();
  const repository = join(folder, 'samples');
  cpSync(join(root, 'samples'), repository, { recursive: true });
  mkdirSync(join(folder, 'extensions'), { recursive: true });
  installExtension(join(root, 'build/damper-spec-review.vsix'), join(folder, 'extensions'));
  const host = await startHost({
    userFolder: join(folder, 'user'),
    extensionsFolder: join(folder, 'extensions'),
    settings: QUIET,
  });
  const browser = await chromium.launch({
    executablePath: CHROMIUM,
    args: CHROMIUM_ARGUMENTS,
  });
  try {
    const page = await browser.newPage({ viewport: { width: 1300, height: 900 } });
    await page.goto(`${host.url}/?folder=${encodeURIComponent(repository)}`);
    await page.waitForSelector('.monaco-workbench .part.statusbar .statusbar-item', { timeout: 60_000 });
    await openResult(page);
    return await use({ page, repository, server: await serverOf(folder) });
  } finally {
    await browser.close();
    await host.stop();
  }
}

async function openResult(page) {
  await page.keyboard.press('Control+p');
  await page.locator('.quick-input-widget input').first().fill(RESULT);
  const row = page.locator('.quick-input-widget .monaco-list-row', { hasText: 'R-002' }).first();
  await row.click({ timeout: 60_000 });
  await page.waitForSelector('.monaco-editor .view-line', { timeout: 60_000 });
  await page.waitForSelector('.monaco-editor .squiggly-warning, .monaco-editor .squiggly-error, .codelens-decoration', {
    timeout: 60_000,
  });
  await page.keyboard.press('Control+1');
  await page.keyboard.press('Control+Home');
  await page.keyboard.press('End');
  await page.evaluate(watchKeys);
}

/** Runs in the page: from a key's event to the frame after the line was drawn anew. */
function watchKeys() {
  window.keyTimes = [];
  let since;
  document.addEventListener('keydown', () => (since = performance.now()), true);
  new MutationObserver((changes) => {
    if (since === undefined || !changes.some(({ target }) => target.closest?.('.view-lines') !== null)) return;
    const start = since;
    since = undefined;
    requestAnimationFrame(() => setTimeout(() => window.keyTimes.push(performance.now() - start)));
  }).observe(document.querySelector('.monaco-editor .view-lines'), { childList: true, subtree: true });
}

/** Types so many keys, each in its turn, and gives their times [ms]. */
export async function typeKeys(page, count) {
  await page.evaluate(() => (window.keyTimes = []));
  for (let key = 0; key < count; key++) {
    await page.keyboard.type(key % 20 === 19 ? ' ' : 'x');
    await page.waitForFunction((most) => window.keyTimes.length > most, key, { timeout: 30_000 });
    await page.waitForTimeout(BETWEEN_KEYS);
  }
  return page.evaluate(() => window.keyTimes);
}

/** A row more: the log is another one, and is read again. */
export function lengthen(repository) {
  appendFileSync(join(repository, LARGE_LOG), '9999999.0000,0.0000,0.000,0.00,20.0\n');
}

/** Process of the language server that runs from a folder. */
async function serverOf(folder) {
  for (let tries = 0; tries < 300; tries++) {
    for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
      const command = spawnSync('cat', [`/proc/${pid}/cmdline`], { encoding: 'utf8' }).stdout;
      if (command.includes(folder) && command.includes('dist/server.mjs')) return pid;
    }
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  throw new Error('The language server did not start.');
}

/** Bytes that a process has read so far, its threads included. */
export function bytesRead(pid) {
  return Number(/rchar: (\d+)/.exec(readFileSync(`/proc/${pid}/io`, 'utf8'))[1]);
}

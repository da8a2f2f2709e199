import { cpSync, mkdtempSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { packCompanion } from './host/companions.mjs';
import { installExtension, startHost, type EditorHost } from './host/editorHost.mjs';
import type { ListedProblem } from './host/problemsView';
import { ofRun } from './host/runEnvironment';
import { connectBrowser } from './host/scene';
import { QUIET_SETTINGS } from './host/settings';
import { stateOf } from './host/waiting';
import { Workbench } from './host/workbench';

/**
 * A folder of a virtual file system: its files live in the memory of a companion extension in the browser's own extension host, under a scheme of
 * their own, and on no disk. They are judged beside it, by our web entry and the server's worker, and on the host of Node.js, where a server
 * process asks for them.
 */
const FAILED = 'dampers/F-002/build-2/delivery.result.csv';
const PASSED = 'dampers/F-002/build-1/delivery.result.csv';
let work = '';
let host: EditorHost;
let browser: Browser;
let editor: Workbench;

/** Every file below the samples as base64, by its path in the virtual file system. */
function samplesAsJson(): string {
  const paths = readdirSync('samples', { recursive: true, encoding: 'utf8' });
  const files = paths.filter((path) => statSync(join('samples', path)).isFile());
  return JSON.stringify(
    Object.fromEntries(
      files.map((path) => [
        `/workshop/${path.replaceAll('\\', '/')}`,
        readFileSync(join('samples', path)).toString('base64'),
      ]),
    ),
  );
}

/** Starts a host of its own, with more settings than the quiet ones. */
async function openVirtual(place: string, settings: Readonly<Record<string, unknown>>): Promise<void> {
  work = mkdtempSync(join(ofRun('work'), `virtual-${place}-`));
  const extensionsFolder = join(work, 'extensions');
  cpSync(ofRun('extensions'), extensionsFolder, { recursive: true });
  installExtension(packCompanion('memory-files', work, { 'files.json': samplesAsJson() }), extensionsFolder);
  host = await startHost({
    userFolder: join(work, 'user'),
    extensionsFolder,
    settings: { ...QUIET_SETTINGS, ...settings },
  });
  browser = await connectBrowser();
  editor = await Workbench.open(browser, host.url, 'memfs:/workshop');
}

async function closeVirtual(): Promise<void> {
  await editor.close();
  await browser.close();
  await host.stop();
}

afterEach(async ({ task }) => {
  if (task.result?.state === 'fail') await editor.shot(`failed-${task.name.slice(0, 50).replace(/\W+/g, '-')}`);
});
/** What our output says in the log files of the host of Node.js; the browser's own host keeps its logs in the browser. */
function outputOnNode(): string {
  const logs = join(work, 'user', 'logs');
  return readdirSync(logs, { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('/Damper Spec Review.log'))
    .map((path) => readFileSync(join(logs, path), 'utf8'))
    .join('');
}

/** Opens the file that the first listed problem is of: a virtual file system has no index that quick open could look in. */
async function openFromProblems(filter: string, path: string): Promise<void> {
  await editor.problems.show(filter);
  await editor.problems.where(`a problem of ${path}`, (all) => all.some(({ file }) => file.endsWith(path)));
  await editor.page.locator('.markers-panel .monaco-list-row[aria-level="2"]').first().dblclick();
  await stateOf(`the text of ${path}`, () => editor.texts.hasTab('delivery.result.csv'));
}

const OURS_IN_THE_BROWSER = { 'remote.extensionKind': { 'damper-spec-review.damper-spec-review': ['web'] } };

describe.each([
  ['browser', OURS_IN_THE_BROWSER],
  ['node', {}],
])('a virtual file system, judged on the host of kind %s,', (place, settings) => {
  beforeAll(() => openVirtual(place, settings));
  afterAll(closeVirtual);

  it('has its drifting rebuild in Problems, though no file is open', async () => {
    const rows = editor.page.locator('.explorer-folders-view .monaco-list-row');
    await stateOf('the folders in the explorer', async () => (await rows.allTextContents()).includes('specs'));
    await editor.problems.show('drift-from-reference');
    const listed = await editor.problems.where('drift of F-002 build 2', (all) =>
      all.some(({ file }) => file.endsWith(FAILED)),
    );
    expect(listed.filter(({ file }) => file.endsWith(FAILED)).map(({ text }) => text.slice(0, 66))).toEqual([
      'F-002 build 2: rebound 300 to 500 mm/s is 185 % of tolerance, soft',
    ]);
    expect(listed.filter(({ file }) => file.endsWith(PASSED))).toEqual([]);
    await editor.shot(`virtual-problems-${place}`);
  });

  it('is previewed, and judged again by an unsaved edit until it is undone', async () => {
    await openFromProblems('F-002 build 2', FAILED);
    await editor.command('Damper Spec Review: Open Preview to the Side');
    const frame = await editor.ourPage('preview');
    expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain('F-002 build 2 FAIL');
    const line = await editor.texts.cursorLine();
    await editor.texts.goToLine(line, '6,4,6,400,1');
    await editor.page.keyboard.type('9');
    await editor.problems.show('result-altered');
    const isAltered = ({ file, text }: ListedProblem): boolean =>
      file.endsWith(FAILED) && text.includes('this line reads "6,4,6,400,19');
    await editor.problems.where('result-altered', (all) => all.some(isAltered));
    await editor.shot(`virtual-altered-${place}`);
    await editor.texts.focus();
    await editor.page.keyboard.press('Control+z');
    await editor.problems.where('no result-altered', (all) => !all.some(isAltered));
  });

  it('has no git history, and says so', async () => {
    await editor.command('Damper Spec Review: Review Branch');
    const branch = await editor.ourPage('branch', '');
    await stateOf('why there is no branch review', () =>
      branch.evaluate(() => document.body.innerText.includes('There is no git history here')),
    );
    await editor.shot(`virtual-branch-${place}`);
  });

  it('is judged where this test means it to be, and the output says what is left out', async () => {
    const said = (): boolean => outputOnNode().includes('In a folder of a virtual file system files larger than');
    await stateOf('what the server says', () => said() === (place === 'node'), outputOnNode);
  });
});

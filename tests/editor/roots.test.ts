import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startHost, type EditorHost } from './host/editorHost.mjs';
import { ofRun } from './host/runEnvironment';
import { connectBrowser, copyOfSamples } from './host/scene';
import { QUIET_SETTINGS } from './host/settings';
import { stateOf } from './host/waiting';
import { Workbench } from './host/workbench';

const RESULT = 'dampers/F-002/build-2/delivery.result.csv';
let browser: Browser;
beforeAll(async () => {
  browser = await connectBrowser();
});
afterAll(() => browser.close());

describe('several folders in one window', () => {
  it('judges each by its own specs', async () => {
    const first = copyOfSamples();
    const second = copyOfSamples((folder) => {
      const spec = join(folder, 'specs/larch-front.damper.yaml');
      const wide = readFileSync(spec, 'utf8').replace('rebound: { relative: 5 %', 'rebound: { relative: 40 %');
      writeFileSync(spec, wide);
    });
    const workspace = join(mkdtempSync(join(ofRun('work'), 'roots-')), 'two.code-workspace');
    writeFileSync(
      workspace,
      JSON.stringify({
        folders: [
          { path: first, name: 'tight' },
          { path: second, name: 'wide' },
        ],
      }),
    );
    const editor = await Workbench.open(browser, ofRun('host'), workspace);
    try {
      // Three results drift by the specs as they are: F-002 build 2, F-003 build 1, R-003 build 2; the first of them not by the wide one.
      for (const [words, count] of [
        ['drift-from-reference', 5],
        ['F-002 build 2: rebound', 1],
        ['F-003 build 1: compression 50 to 400', 2],
      ] as const) {
        await editor.problems.show(words);
        await stateOf(`${count} problems ${words}`, async () => (await editor.problems.count()) === count);
        if (count === 1) expect((await editor.problems.listed())[0]?.file).toContain('tight • dampers/F-002/build-2');
      }
      await editor.shot('two-roots');
    } catch (error) {
      await editor.shot('failed-several-folders');
      throw error;
    } finally {
      await editor.close();
    }
  });
});

/**
 * The host runs an extension in the browser's own extension host where its settings say so. There the web entry and the server's worker run, without
 * Node.js and without a disk: every file comes through the editor's file system, here that of the remote machine.
 */
describe('in the browser', () => {
  let host: EditorHost;
  beforeAll(async () => {
    host = await startHost({
      userFolder: mkdtempSync(join(ofRun('work'), 'browser-')),
      extensionsFolder: ofRun('extensions'),
      settings: { ...QUIET_SETTINGS, 'remote.extensionKind': { 'damper-spec-review.damper-spec-review': ['web'] } },
    });
  });
  afterAll(() => host.stop());

  it('judges and previews through the worker', async () => {
    const folder = copyOfSamples();
    const editor = await Workbench.open(browser, host.url, folder);
    try {
      await editor.problems.show('drift-from-reference');
      await editor.problems.where('drift of F-002 build 2', (all) =>
        all.some(({ file }) => file.includes('F-002/build-2')),
      );
      await editor.texts.open(RESULT);
      await editor.command('Damper Spec Review: Open Preview to the Side');
      const frame = await editor.ourPage('preview');
      expect(await frame.evaluate(() => document.querySelector('h1')?.textContent)).toContain('F-002 build 2 FAIL');
      expect(editor.page.workers().length).toBeGreaterThan(0);
      await editor.shot('in-the-browser');
    } catch (error) {
      await editor.shot('failed-in-the-browser');
      throw error;
    } finally {
      await editor.close();
    }
  });
});

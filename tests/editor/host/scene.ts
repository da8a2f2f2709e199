import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { chromium, type Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll } from 'vitest';
import { ofRun } from './runEnvironment';
import { Workbench } from './workbench';

/** What a test file works with: a window of the editor on a folder of its own. */
export interface Scene {
  readonly folder: string;
  readonly editor: Workbench;
}

/** Copies the samples into a new folder under git, as a user would have them. */
export function copyOfSamples(change: (folder: string) => void = () => undefined): string {
  const folder = mkdtempSync(join(ofRun('work'), 'samples-'));
  cpSync('samples', folder, { recursive: true });
  git(folder, 'init', '--quiet', '--initial-branch=main');
  git(folder, 'add', '--all');
  git(folder, 'commit', '--quiet', '--message=Samples');
  change(folder);
  return folder;
}

/** 1-based line of a file of the folder that fits. */
export function lineOf(folder: string, path: string, pattern: RegExp): number {
  const at = readFileSync(join(folder, path), 'utf8')
    .split('\n')
    .findIndex((line) => pattern.test(line));
  if (at < 0) throw new Error(`${path} has no line ${String(pattern)}.`);
  return at + 1;
}

export function git(folder: string, ...parameters: string[]): void {
  const identity = ['-c', 'user.name=Tests', '-c', 'user.email=tests@localhost', '-c', 'commit.gpgsign=false'];
  execFileSync('git', [...identity, ...parameters], { cwd: folder, stdio: 'ignore' });
}

export async function connectBrowser(): Promise<Browser> {
  return chromium.connect(ofRun('browser'));
}

/** One window on a folder of its own for all tests of a file. A test that fails leaves a picture of what it saw. */
export function sceneOf(prepare: () => string = () => copyOfSamples()): Scene {
  let browser: Browser;
  let folder = '';
  let editor: Workbench;
  beforeAll(async () => {
    folder = prepare();
    browser = await connectBrowser();
    editor = await Workbench.open(browser, ofRun('host'), folder);
  });
  afterEach(async ({ task }) => {
    if (task.result?.state === 'fail') await editor.shot(`failed-${task.name.slice(0, 50).replace(/\W+/g, '-')}`);
  });
  afterAll(async () => {
    await editor.close();
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  });
  return {
    get folder() {
      return folder;
    },
    get editor() {
      return editor;
    },
  };
}

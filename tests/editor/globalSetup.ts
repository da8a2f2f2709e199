import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { installExtension, installHost, startHost } from './host/editorHost.mjs';
import { CHROMIUM_ARGUMENTS, CHROMIUM_PATH } from './host/chromium';
import { RUN } from './host/runEnvironment';
import { QUIET_SETTINGS } from './host/settings';

/** Packs the extension, installs that file into the editor, and starts one host and one browser for all tests. */
export async function setup(): Promise<() => Promise<void>> {
  if (!existsSync(CHROMIUM_PATH)) throw new Error(`${CHROMIUM_PATH} is missing: install the package chromium.`);
  if (process.env['DAMPER_EDITOR_REUSE'] !== '1')
    execFileSync('npm', ['run', 'package', '--silent'], { stdio: ['ignore', 2, 2] });
  installHost();
  rmSync('build/editor-shots', { recursive: true, force: true });
  mkdirSync('build/editor-shots', { recursive: true });
  const work = mkdtempSync(join(tmpdir(), 'damper-editor-'));
  const extensionsFolder = join(work, 'extensions');
  installExtension(join(process.cwd(), 'build/damper-spec-review.vsix'), extensionsFolder);
  const host = await startHost({ userFolder: join(work, 'user'), extensionsFolder, settings: QUIET_SETTINGS });
  const browser = await chromium.launchServer({ executablePath: CHROMIUM_PATH, args: CHROMIUM_ARGUMENTS });
  // The processes of the test files inherit the environment.
  process.env[RUN.host] = host.url;
  process.env[RUN.browser] = browser.wsEndpoint();
  process.env[RUN.work] = work;
  process.env[RUN.extensions] = extensionsFolder;
  return async () => {
    await browser.close();
    await host.stop();
    rmSync(work, { recursive: true, force: true });
  };
}

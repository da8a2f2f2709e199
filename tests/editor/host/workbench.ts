import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Frame, Page } from 'playwright-core';
import { ourPage } from './ourPages';
import { ProblemsView } from './problemsView';
import { QuickInput } from './quickInput';
import { TextEditors } from './textEditors';
import { stateOf } from './waiting';

/** One window of the editor in the browser, driven as a user drives it: keyboard first, then what is on the screen. */
export class Workbench {
  readonly page: Page;
  readonly quick: QuickInput;
  readonly texts: TextEditors;
  readonly problems: ProblemsView;
  readonly #context: BrowserContext;
  /** What the browser's console said; a page's refusals and policy violations appear here. */
  readonly console: string[] = [];

  private constructor(context: BrowserContext, page: Page) {
    this.#context = context;
    this.page = page;
    this.quick = new QuickInput(page);
    this.texts = new TextEditors(page, this.quick);
    this.problems = new ProblemsView(page, this.quick);
    page.on('console', (message) => this.console.push(message.text()));
  }

  /** Opens a folder or a .code-workspace file and waits until the workbench stands. */
  static async open(browser: Browser, url: string, target: string): Promise<Workbench> {
    const context = await browser.newContext({ viewport: { width: 1500, height: 950 }, acceptDownloads: true });
    const page = await context.newPage();
    const kind = target.endsWith('.code-workspace') ? 'workspace' : 'folder';
    const workbench = new Workbench(context, page);
    await page.goto(`${url}/?${kind}=${encodeURIComponent(target)}`);
    await page.waitForSelector('.monaco-workbench .part.statusbar .statusbar-item');
    await page.waitForSelector('.monaco-workbench .explorer-viewlet, .monaco-workbench .activitybar');
    // The editor at times reads a .code-workspace before its remote files answer, and then shows no folder until it is loaded again.
    if (kind === 'workspace') {
      const folders = page.locator('.explorer-folders-view .monaco-list-row');
      const came = await folders
        .first()
        .waitFor({ timeout: 12_000 })
        .then(
          () => true,
          () => false,
        );
      if (!came) await page.reload();
      await folders.first().waitFor();
    }
    return workbench;
  }

  async close(): Promise<void> {
    await this.#context.close();
  }

  /** Loads the window again by the editor's own command, which keeps the state of the window first. */
  async reload(): Promise<void> {
    await this.page.evaluate(() => Object.assign(window, { beforeReload: true }));
    await this.command('Developer: Reload Window');
    await stateOf('a new window', () =>
      this.page.evaluate(() => !('beforeReload' in window) && document.readyState === 'complete').catch(() => false),
    );
    await this.page.waitForSelector('.monaco-workbench .part.statusbar .statusbar-item');
  }

  /** Runs a command by its title in the palette. */
  async command(title: string): Promise<void> {
    await this.quick.command(title);
  }

  /** The frame that holds one of our pages, once the page shows a view. */
  async ourPage(name: string, shown?: string): Promise<Frame> {
    return ourPage(this.page, name, shown);
  }

  /** Rows of our tree, as a screen reader says them. */
  async treeRows(): Promise<string[]> {
    return this.page.$$eval('.sidebar .monaco-list-row[role=treeitem]', (rows) =>
      rows.map((row) => row.getAttribute('aria-label') ?? row.textContent),
    );
  }

  /** Opens our output by its command; the panel keeps the filter of the view before it, which would hide lines. */
  async showOutput(): Promise<void> {
    await this.command('Damper Spec Review: Show Output');
    await this.page.waitForSelector('.panel .output-view-container, .panel .output-view');
    await this.page.locator('.panel .viewpane-filter input').first().fill('');
  }

  async outputText(): Promise<string> {
    return (
      await this.page
        .locator('.panel .output-view, .panel .output-view-container, .panel .monaco-editor')
        .allTextContents()
    )
      .join('\n')
      .replace(/\u00a0/g, ' ');
  }

  async chooseTheme(name: string): Promise<void> {
    await this.command('Preferences: Color Theme');
    const input = this.page.locator('.quick-input-widget input').first();
    await stateOf('the list of themes', async () => (await this.quick.rows()).some((row) => row.includes('Modern')));
    await input.fill(name);
    await stateOf(`the theme ${name}`, async () => (await this.quick.rows())[0]?.startsWith(name) === true);
    await this.page.keyboard.press('Enter');
    await this.quick.closed();
  }

  async statusTexts(): Promise<string[]> {
    return this.page.$$eval('.statusbar-item', (items) => items.map((item) => item.textContent));
  }

  /** Keeps a picture in build/editor-shots. */
  async shot(name: string): Promise<void> {
    mkdirSync('build/editor-shots', { recursive: true });
    await this.page.screenshot({ path: join('build/editor-shots', `${name}.png`) });
  }
}

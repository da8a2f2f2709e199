import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Frame, Page, Locator } from 'playwright-core';
import { stateOf } from './waiting';

/** A problem as the Problems view lists it. */
export interface ListedProblem {
  readonly file: string;
  readonly text: string;
  readonly severity: 'error' | 'warning' | 'info';
}

/** One window of the editor in the browser, driven as a user drives it: keyboard first, then what is on the screen. */
export class Workbench {
  readonly page: Page;
  readonly #context: BrowserContext;
  /** What the browser's console said; a page's refusals and policy violations appear here. */
  readonly console: string[] = [];

  private constructor(context: BrowserContext, page: Page) {
    this.#context = context;
    this.page = page;
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
    await this.#quickInput('F1', `>${title}`, title);
    await this.page.locator(`.quick-input-widget .monaco-list-row[aria-label^="${title}"]`).first().click();
  }

  /** Opens a file of the folder by its path, at a line where one is given. */
  async openFile(path: string, line?: number): Promise<void> {
    const folders = path.split('/').slice(0, -1);
    const name = path.slice(path.lastIndexOf('/') + 1);
    await this.page.keyboard.press('Control+1'); // not over a page of ours in another group
    await this.#quickInput('Control+p', path, name);
    const row = this.page.locator(`.quick-input-widget .monaco-list-row[aria-label*="${name}"]`, {
      hasText: folders.join('/'),
    });
    await row.first().click();
    const shown = [...folders, name].join('');
    await stateOf(`the text of ${path}`, async () => {
      const crumbs = this.page.locator('.editor-group-container.active .breadcrumbs-control').first();
      return ((await crumbs.textContent({ timeout: 1000 }).catch(() => '')) ?? '').includes(shown);
    });
    await this.page.waitForSelector('.editor-group-container.active .monaco-editor .view-line');
    if (line !== undefined) await this.goToLine(line);
  }

  /** Opens a file of the folder by its path in an editor of that name. */
  async openAs(path: string, editorName: string): Promise<void> {
    await this.openUnread(path);
    await this.command('View: Reopen Editor With...');
    await this.choose(editorName);
  }

  /** Chooses a file in quick open, whatever the editor then shows of it. */
  async openUnread(path: string): Promise<void> {
    const name = path.slice(path.lastIndexOf('/') + 1);
    await this.#quickInput('Control+p', path, name);
    const row = this.page.locator(`.quick-input-widget .monaco-list-row[aria-label*="${name}"]`, {
      hasText: path.slice(0, path.lastIndexOf('/')),
    });
    await row.first().click();
    await stateOf(`the tab of ${path}`, () => this.hasTab(name));
  }

  async goToLine(line: number): Promise<void> {
    await this.focusText();
    await this.page.keyboard.press('Control+g');
    await this.page.waitForSelector('.quick-input-widget:visible input');
    await this.page.locator('.quick-input-widget input').fill(`:${line}`);
    await this.page.keyboard.press('Enter');
    await this.page.waitForSelector('.quick-input-widget', { state: 'hidden' });
    await stateOf('the cursor', async () => (await this.cursorLine()) === line);
  }

  /** The 1-based line of the cursor, in the first group of editors, as its margin marks it. */
  async cursorLine(): Promise<number> {
    const numbers = await this.page.$$eval('.monaco-editor .line-numbers.active-line-number', (all) =>
      all.map((one) => Number(one.textContent)),
    );
    return numbers[0] ?? 0;
  }

  /** Moves the keyboard to the text of the active group. */
  async focusText(): Promise<void> {
    await this.page.keyboard.press('Control+1');
    await this.page.waitForSelector('.editor-group-container.active .monaco-editor.focused');
  }

  /** Text of the active editor as far as it is on the screen, a string a line. */
  async visibleLines(): Promise<string[]> {
    return this.page.$$eval('.editor-group-container.active .monaco-editor .view-line', (lines) =>
      lines
        .map((line) => ({ top: (line as HTMLElement).offsetTop, text: line.textContent.replace(/\u00a0/g, ' ') }))
        .sort((a, b) => a.top - b.top)
        .map(({ text }) => text),
    );
  }

  /** Line that the first listed problem with a text is at. */
  async problemLine(text: string): Promise<number> {
    const row = this.page.locator('.markers-panel .monaco-list-row', { hasText: text }).first();
    return Number(/Ln (\d+)/.exec((await row.textContent()) ?? '')?.[1] ?? 0);
  }

  /** Chooses a quick fix at the cursor by a part of its title. */
  async quickFix(title: string): Promise<void> {
    await this.focusText();
    await this.page.keyboard.press('Control+.');
    const item = this.page.locator('.action-widget .monaco-list-row', { hasText: title }).first();
    await item.waitFor();
    await stateOf(`the fix "${title}" in focus`, async () => {
      if (/focused/.test((await item.getAttribute('class')) ?? '')) return true;
      await this.page.keyboard.press('ArrowDown');
      return false;
    });
    await this.page.keyboard.press('Enter');
  }

  /** Rows of the Problems view, unfolded, from top to bottom, as far as they are on the screen. */
  async problems(): Promise<ListedProblem[]> {
    return this.page.$$eval('.markers-panel .monaco-list-row', (rows) => {
      const found: { file: string; text: string; severity: 'error' | 'warning' | 'info' }[] = [];
      let file = '';
      const ordered = [...rows].sort((a, b) => (a as HTMLElement).offsetTop - (b as HTMLElement).offsetTop);
      for (const row of ordered) {
        const level = row.getAttribute('aria-level');
        if (level === '1') {
          const name = row.querySelector('.label-name')?.textContent ?? '';
          file = `${row.querySelector('.label-description')?.textContent ?? ''}/${name}`;
        } else if (level === '2') {
          const icon = row.querySelector('.marker-icon .codicon')?.className ?? '';
          found.push({
            file,
            text: row.querySelector('.marker-message-details-container')?.textContent ?? row.textContent,
            severity: icon.includes('error') ? 'error' : icon.includes('warning') ? 'warning' : 'info',
          });
        }
      }
      return found;
    });
  }

  async showProblems(filter = ''): Promise<void> {
    if ((await this.page.locator('.markers-panel').count()) === 0) {
      await this.command('Problems: Focus on Problems View');
      await this.page.waitForSelector('.markers-panel');
    }
    const input = this.page.locator('.panel .viewpane-filter input, .panel .action-item input').first();
    await input.fill(filter);
    // A view that was just opened takes its filter back once while it sets itself up.
    await stateOf('the filter', async () => {
      const before = await input.inputValue();
      if (before !== filter) await input.fill(filter);
      await this.page.evaluate(() => new Promise((resolve) => requestIdleCallback(resolve)));
      return before === filter && (await input.inputValue()) === filter;
    });
  }

  /** How many problems the filter lets through, those below the edge of the screen included. */
  async problemCount(): Promise<number> {
    const badge = await this.page.locator('.viewpane-filter .viewpane-filter-badge').allTextContents();
    const found = badge.map((text) => /Showing (\d+) of/.exec(text)?.[1]).find((count) => count !== undefined);
    return Number(found ?? 0);
  }

  /** Waits until the listed problems are as wanted and gives them. */
  async problemsWhere(what: string, wanted: (problems: readonly ListedProblem[]) => boolean): Promise<ListedProblem[]> {
    let last: ListedProblem[] = [];
    await stateOf(
      what,
      async () => wanted((last = await this.problems())),
      () => JSON.stringify(last, null, 1),
    );
    return last;
  }

  /** Waits until the problems are as wanted and stay so over 25 looks in a row; any other set between starts the count again. */
  async settledProblems(what: string, wanted: (problems: readonly ListedProblem[]) => boolean): Promise<void> {
    let inARow = 0;
    await stateOf(what, async () => {
      inARow = wanted(await this.problems()) ? inARow + 1 : 0;
      return inARow >= 25;
    });
  }

  /** The frame that holds one of our pages, once the page shows a view. */
  async ourPage(name: string, shown = '[data-shown]'): Promise<Frame> {
    let found: Frame | undefined;
    await stateOf(`the ${name} page`, async () => {
      for (const frame of this.page.frames()) {
        if (
          !frame.url().includes('fake.html') &&
          !frame.url().includes('vscode-webview') &&
          frame.parentFrame() === null
        )
          continue;
        const fits = await frame
          .evaluate(([page, state]) => document.querySelector(`body[data-page="${page}"]${state}`) !== null, [
            name,
            shown,
          ] as const)
          .catch(() => false);
        if (fits && (await isVisible(frame))) {
          found = frame;
          return true;
        }
      }
      return false;
    });
    return found!;
  }

  /** Rows of our tree, as a screen reader says them. */
  async treeRows(): Promise<string[]> {
    return this.page.$$eval('.sidebar .monaco-list-row[role=treeitem]', (rows) =>
      rows.map((row) => row.getAttribute('aria-label') ?? row.textContent),
    );
  }

  /** Takes the first choice of a list whose row holds all of the words. */
  async choose(...words: readonly string[]): Promise<void> {
    const holds = (row: string): boolean => words.every((word) => row.includes(word));
    await stateOf(
      `the choice ${words.join(' ')}`,
      async () => (await this.quickRows()).some(holds),
      async () => JSON.stringify(await this.quickRows()),
    );
    let row = this.page.locator('.quick-input-widget .monaco-list-row');
    for (const word of words) row = row.filter({ hasText: word });
    const before = await this.page.locator('.quick-input-widget input').first().getAttribute('placeholder');
    await row.first().click();
    await stateOf('the next question', async () => {
      const input = this.page.locator('.quick-input-widget:visible input').first();
      const now = await input.getAttribute('placeholder', { timeout: 500 }).catch(() => undefined);
      return now !== before;
    });
  }

  /** Answers a question in words. */
  async answer(words: string): Promise<void> {
    const input = this.page.locator('.quick-input-widget:visible input[type=text]').first();
    await stateOf('the question', async () => (await input.count()) > 0 && (await this.quickRows()).length === 0);
    await input.fill(words);
    await this.page.keyboard.press('Enter');
    await stateOf('the answer taken', async () => (await valueOf(input)) !== words);
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

  async hasTab(start: string): Promise<boolean> {
    return (await this.page.locator(`.tabs-container .tab[aria-label^="${start}"]`).count()) > 0;
  }

  async chooseTheme(name: string): Promise<void> {
    await this.command('Preferences: Color Theme');
    const input = this.page.locator('.quick-input-widget input').first();
    await stateOf('the list of themes', async () => (await this.quickRows()).some((row) => row.includes('Modern')));
    await input.fill(name);
    await stateOf(`the theme ${name}`, async () => (await this.quickRows())[0]?.startsWith(name) === true);
    await this.page.keyboard.press('Enter');
    await this.page.waitForSelector('.quick-input-widget', { state: 'hidden' });
  }

  /** Answers the editor's own dialog for a file to save. */
  async saveAs(path: string): Promise<void> {
    const input = this.page.locator('.quick-input-widget:visible input').first();
    await input.waitFor();
    const ending = path.slice(path.lastIndexOf('.'));
    await stateOf('the proposed name', async () => (await valueOf(input))?.endsWith(ending) === true);
    await stateOf('the name that was typed', async () => {
      if ((await valueOf(input)) === path) return true;
      await input.fill(path);
      return false;
    });
    await this.page.keyboard.press('Enter');
    await this.page.waitForSelector('.quick-input-widget', { state: 'hidden' });
  }

  async statusTexts(): Promise<string[]> {
    return this.page.$$eval('.statusbar-item', (items) => items.map((item) => item.textContent));
  }

  /** Keeps a picture in build/editor-shots. */
  async shot(name: string): Promise<void> {
    mkdirSync('build/editor-shots', { recursive: true });
    await this.page.screenshot({ path: join('build/editor-shots', `${name}.png`) });
  }

  /** Opens quick input, types, and waits for a row that holds a text. A window that still starts may close it again: then it is asked anew. */
  async #quickInput(key: string, text: string, row: string): Promise<void> {
    const input = this.page.locator('.quick-input-widget:visible input[type=text]').first();
    const open = async (): Promise<void> => {
      await this.page.keyboard.press('Escape');
      await this.page.keyboard.press(key);
      await input.waitFor({ timeout: 3000 }).catch(() => undefined);
    };
    await open();
    await stateOf(
      `the choice "${row}"`,
      async () => {
        if (!(await input.isVisible())) await open();
        if ((await input.inputValue({ timeout: 1000 }).catch(() => '')) !== text) {
          await input.fill(text, { timeout: 1000 }).catch(() => undefined);
          return false;
        }
        return (await this.quickRows()).some((one) => one.includes(row));
      },
      async () => JSON.stringify(await this.quickRows()),
    );
  }

  async quickRows(): Promise<string[]> {
    return this.page.$$eval('.quick-input-widget .monaco-list-row', (rows) =>
      rows.map((row) => row.getAttribute('aria-label') ?? row.textContent),
    );
  }
}

/** Whether a webview's frame is on the screen; hidden ones keep their frames for a while. */
async function isVisible(frame: Frame): Promise<boolean> {
  let element = await frame.frameElement();
  for (let at: Frame | null = frame; at?.parentFrame() != null; at = at.parentFrame()) {
    element = await at.frameElement();
    if (!(await element.isVisible())) return false;
  }
  return element.isVisible();
}

/** What an input holds; undefined once it is gone, which may happen between two looks. */
async function valueOf(input: Locator): Promise<string | undefined> {
  return input.inputValue({ timeout: 500 }).catch(() => undefined);
}

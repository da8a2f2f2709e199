import type { Page } from 'playwright-core';
import type { QuickInput } from './quickInput';
import { stateOf } from './waiting';

/** The groups of editors: which file is open in which, its text, and the cursor in it. */
export class TextEditors {
  readonly #page: Page;
  readonly #quick: QuickInput;

  constructor(page: Page, quick: QuickInput) {
    this.#page = page;
    this.#quick = quick;
  }

  /** Opens a file of the folder by its path, at a line where one is given. */
  async open(path: string, line?: number): Promise<void> {
    const folders = path.split('/').slice(0, -1);
    const name = path.slice(path.lastIndexOf('/') + 1);
    await this.#page.keyboard.press('Control+1'); // not over a page of ours in another group
    await this.#quick.open('Control+p', path, name);
    const row = this.#page.locator(`.quick-input-widget .monaco-list-row[aria-label*="${name}"]`, {
      hasText: folders.join('/'),
    });
    await row.first().click();
    const shown = [...folders, name].join('');
    await stateOf(`the text of ${path}`, async () => {
      const crumbs = this.#page.locator('.editor-group-container.active .breadcrumbs-control').first();
      return ((await crumbs.textContent({ timeout: 1000 }).catch(() => '')) ?? '').includes(shown);
    });
    await this.#page.waitForSelector('.editor-group-container.active .monaco-editor .view-line');
    if (line !== undefined) await this.goToLine(line);
  }

  /** Opens a file of the folder by its path in an editor of that name. */
  async openAs(path: string, editorName: string): Promise<void> {
    await this.openUnread(path);
    await this.#quick.command('View: Reopen Editor With...');
    await this.#quick.choose(editorName);
  }

  /** Chooses a file in quick open, whatever the editor then shows of it. */
  async openUnread(path: string): Promise<void> {
    const name = path.slice(path.lastIndexOf('/') + 1);
    await this.#quick.open('Control+p', path, name);
    const row = this.#page.locator(`.quick-input-widget .monaco-list-row[aria-label*="${name}"]`, {
      hasText: path.slice(0, path.lastIndexOf('/')),
    });
    await row.first().click();
    await stateOf(`the tab of ${path}`, () => this.hasTab(name));
  }

  async hasTab(start: string): Promise<boolean> {
    return (await this.#page.locator(`.tabs-container .tab[aria-label^="${start}"]`).count()) > 0;
  }

  /** @param behind characters of the line that the cursor is to stand behind */
  async goToLine(line: number, behind = ''): Promise<void> {
    await this.focus();
    await this.#page.keyboard.press('Control+g');
    await this.#page.waitForSelector('.quick-input-widget:visible input');
    await this.#page.locator('.quick-input-widget input').fill(`:${line}:${behind.length + 1}`);
    await this.#page.keyboard.press('Enter');
    await this.#quick.closed();
    await stateOf('the cursor', async () => (await this.cursorLine()) === line);
  }

  /** The 1-based line of the cursor, in the first group of editors, as its margin marks it. */
  async cursorLine(): Promise<number> {
    const numbers = await this.#page.$$eval('.monaco-editor .line-numbers.active-line-number', (all) =>
      all.map((one) => Number(one.textContent)),
    );
    return numbers[0] ?? 0;
  }

  /** Moves the keyboard to the text of the first group. */
  async focus(): Promise<void> {
    await this.#page.keyboard.press('Control+1');
    await this.#page.waitForSelector('.editor-group-container.active .monaco-editor.focused');
  }

  /** Text of the active editor as far as it is on the screen, a string a line. */
  async visibleLines(): Promise<string[]> {
    return this.#page.$$eval('.editor-group-container.active .monaco-editor .view-line', (lines) =>
      lines
        .map((line) => ({ top: (line as HTMLElement).offsetTop, text: line.textContent.replace(/\u00a0/g, ' ') }))
        .sort((a, b) => a.top - b.top)
        .map(({ text }) => text),
    );
  }

  /** Chooses a quick fix at the cursor by a part of its title. */
  async quickFix(title: string): Promise<void> {
    await this.focus();
    await this.#page.keyboard.press('Control+.');
    const item = this.#page.locator('.action-widget .monaco-list-row', { hasText: title }).first();
    await item.waitFor();
    await stateOf(`the fix "${title}" in focus`, async () => {
      if (/focused/.test((await item.getAttribute('class')) ?? '')) return true;
      await this.#page.keyboard.press('ArrowDown');
      return false;
    });
    await this.#page.keyboard.press('Enter');
  }
}

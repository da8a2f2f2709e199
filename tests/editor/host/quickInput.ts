import type { Locator, Page } from 'playwright-core';
import { stateOf } from './waiting';

const OPEN = '.quick-input-widget:visible input';

/** The editor's one place for questions: its palette, its lists of choices, its questions in words, its dialog for a file to save. */
export class QuickInput {
  readonly #page: Page;

  constructor(page: Page) {
    this.#page = page;
  }

  /** Rows that are offered, as a screen reader says them. */
  async rows(): Promise<string[]> {
    return this.#page.$$eval('.quick-input-widget .monaco-list-row', (rows) =>
      rows.map((row) => row.getAttribute('aria-label') ?? row.textContent),
    );
  }

  /** Runs a command by its title in the palette. */
  async command(title: string): Promise<void> {
    await this.open('F1', `>${title}`, title);
    await this.#page.locator(`.quick-input-widget .monaco-list-row[aria-label^="${title}"]`).first().click();
  }

  /** Opens it by a key, types, and waits for a row that holds a text. A window that still starts may close it again: then it is asked anew. */
  async open(key: string, text: string, row: string): Promise<void> {
    const input = this.#page.locator(`${OPEN}[type=text]`).first();
    const open = async (): Promise<void> => {
      await this.#page.keyboard.press('Escape');
      await this.#page.keyboard.press(key);
      await input.waitFor({ timeout: 3000 }).catch(() => undefined);
    };
    await open();
    let looks = 0;
    await stateOf(
      `the choice "${row}"`,
      async () => {
        // What is offered is gathered when it opens: an extension that came later is missing until it is opened anew.
        if (!(await input.isVisible()) || ++looks % 30 === 0) await open();
        if ((await input.inputValue({ timeout: 1000 }).catch(() => '')) !== text) {
          await input.fill(text, { timeout: 1000 }).catch(() => undefined);
          return false;
        }
        return (await this.rows()).some((one) => one.includes(row));
      },
      async () => JSON.stringify(await this.rows()),
    );
  }

  /** Takes the first choice of a list whose row holds all of the words. */
  async choose(...words: readonly string[]): Promise<void> {
    const holds = (row: string): boolean => words.every((word) => row.includes(word));
    await stateOf(
      `the choice ${words.join(' ')}`,
      async () => (await this.rows()).some(holds),
      async () => JSON.stringify(await this.rows()),
    );
    let row = this.#page.locator('.quick-input-widget .monaco-list-row');
    for (const word of words) row = row.filter({ hasText: word });
    const before = await this.#page.locator('.quick-input-widget input').first().getAttribute('placeholder');
    await row.first().click();
    await stateOf('the next question', async () => {
      const input = this.#page.locator(OPEN).first();
      const now = await input.getAttribute('placeholder', { timeout: 500 }).catch(() => undefined);
      return now !== before;
    });
  }

  /** Answers a question in words. */
  async answer(words: string): Promise<void> {
    const input = this.#page.locator(`${OPEN}[type=text]`).first();
    await stateOf('the question', async () => (await input.count()) > 0 && (await this.rows()).length === 0);
    await input.fill(words);
    await this.#page.keyboard.press('Enter');
    await stateOf('the answer taken', async () => (await valueOf(input)) !== words);
  }

  /** Answers the editor's own dialog for a file to save. */
  async saveAs(path: string): Promise<void> {
    const input = this.#page.locator(OPEN).first();
    await input.waitFor();
    const ending = path.slice(path.lastIndexOf('.'));
    await stateOf('the proposed name', async () => (await valueOf(input))?.endsWith(ending) === true);
    await stateOf('the name that was typed', async () => {
      if ((await valueOf(input)) === path) return true;
      await input.fill(path);
      return false;
    });
    await this.#page.keyboard.press('Enter');
    await this.closed();
  }

  async closed(): Promise<void> {
    await this.#page.waitForSelector('.quick-input-widget', { state: 'hidden' });
  }
}

/** What an input holds; undefined once it is gone, which may happen between two looks. */
async function valueOf(input: Locator): Promise<string | undefined> {
  return input.inputValue({ timeout: 500 }).catch(() => undefined);
}

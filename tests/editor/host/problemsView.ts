import type { Page } from 'playwright-core';
import type { QuickInput } from './quickInput';
import { stateOf } from './waiting';

/** A problem as the Problems view lists it. */
export interface ListedProblem {
  readonly file: string;
  readonly text: string;
  readonly severity: 'error' | 'warning' | 'info';
}

/** The Problems view, read as it is drawn. */
export class ProblemsView {
  readonly #page: Page;
  readonly #quick: QuickInput;

  constructor(page: Page, quick: QuickInput) {
    this.#page = page;
    this.#quick = quick;
  }

  async show(filter = ''): Promise<void> {
    if ((await this.#page.locator('.markers-panel').count()) === 0) {
      await this.#quick.command('Problems: Focus on Problems View');
      await this.#page.waitForSelector('.markers-panel');
    }
    const input = this.#page.locator('.panel .viewpane-filter input, .panel .action-item input').first();
    await input.fill(filter);
    // A view that was just opened takes its filter back once while it sets itself up.
    await stateOf('the filter', async () => {
      const before = await input.inputValue();
      if (before !== filter) await input.fill(filter);
      await this.#page.evaluate(() => new Promise((resolve) => requestIdleCallback(resolve)));
      return before === filter && (await input.inputValue()) === filter;
    });
  }

  /** Rows, unfolded, from top to bottom, as far as they are on the screen. */
  async listed(): Promise<ListedProblem[]> {
    return this.#page.$$eval('.markers-panel .monaco-list-row', (rows) => {
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

  /** How many problems the filter lets through, those below the edge of the screen included. */
  async count(): Promise<number> {
    const badge = await this.#page.locator('.viewpane-filter .viewpane-filter-badge').allTextContents();
    const found = badge.map((text) => /Showing (\d+) of/.exec(text)?.[1]).find((count) => count !== undefined);
    return Number(found ?? 0);
  }

  /** Waits until the listed problems are as wanted and gives them. */
  async where(what: string, wanted: (problems: readonly ListedProblem[]) => boolean): Promise<ListedProblem[]> {
    let last: ListedProblem[] = [];
    await stateOf(
      what,
      async () => wanted((last = await this.listed())),
      () => JSON.stringify(last, null, 1),
    );
    return last;
  }

  /** Waits until the problems are as wanted and stay so over 25 looks in a row; any other set between starts the count again. */
  async settled(what: string, wanted: (problems: readonly ListedProblem[]) => boolean): Promise<void> {
    let inARow = 0;
    await stateOf(what, async () => {
      inARow = wanted(await this.listed()) ? inARow + 1 : 0;
      return inARow >= 25;
    });
  }

  /** Line that the first listed problem with a text is at. */
  async lineOf(text: string): Promise<number> {
    const row = this.#page.locator('.markers-panel .monaco-list-row', { hasText: text }).first();
    return Number(/Ln (\d+)/.exec((await row.textContent()) ?? '')?.[1] ?? 0);
  }
}

import type { PageName, PageView } from '../src/protocol/views';
import { baseControls, showBranch } from './branchPage';
import { finishCharts, selectInCharts, showCharts } from './charts';
import { byId, element, speak } from './dom';
import { remember, tellHost } from './host';
import { cautions, findings, heading, settings, steps } from './parts';
import { selectInTables, tables } from './tables';

let shownTitle = '';

/** Draws a view in place of what was there; the reader's place on the page and in the keyboard order is kept where it still exists. */
export async function showPage(view: PageView): Promise<void> {
  remember(stateOf(view));
  const focused = document.activeElement?.id ?? '';
  const scrolled = window.scrollY;
  const unfolded = new Set(Array.from(document.querySelectorAll('details[open]'), ({ id }) => id));
  finishCharts();
  const main = byId('page');
  const [figures, drawn] = showCharts(view.charts, chooseRow);
  const [branch, branchDrawn] = view.page === 'branch' ? showBranch(view, unfolded) : [[], undefined];
  main.replaceChildren(
    ...heading(view),
    ...settings(view),
    ...steps(view),
    ...figures,
    ...branch,
    ...tables(view, unfolded, chooseRow),
    ...findings(view),
    ...cautions(view),
  );
  main.setAttribute('aria-busy', 'false');
  await Promise.all([drawn, branchDrawn]);
  if (view.page === 'preview' && view.selected !== undefined) selectRow(view.selected);
  window.scrollTo(0, scrolled);
  if (focused !== '') document.getElementById(focused)?.focus();
  if (view.title !== shownTitle) speak([view.verdictWord ?? '', view.sentences[0] ?? view.title].join(' '));
  shownTitle = view.title;
  document.body.dataset['shown'] = view.title; // what tests and assistive tools can wait for
}

export function emptyPage(page: PageName, sentence: string): void {
  const said = document.getElementById('said');
  if (said !== null) {
    said.textContent = sentence; // what the reader types beside it stays
    return;
  }
  finishCharts();
  const base = document.querySelector<HTMLInputElement>('#base')?.value ?? '';
  byId('page').replaceChildren(
    element('p', { id: 'said' }, sentence),
    ...(page === 'branch' ? [baseControls(base)] : []),
  );
  byId('page').setAttribute('aria-busy', 'false');
  delete document.body.dataset['shown'];
}

/** Marks the points and table rows of a row. Gives what can be said of it, '' where the page has no such row. */
export function selectRow(row: number): string {
  document.body.dataset['row'] = String(row);
  selectInTables(row);
  return selectInCharts(row);
}

/** A point or table row was chosen on the page: marked here, and told, so that its row is selected in the text. */
function chooseRow(row: number): void {
  speak(selectRow(row));
  tellHost({ kind: 'selectRow', row });
}

function stateOf(view: PageView): unknown {
  switch (view.page) {
    case 'preview': {
      const setting = view.settings.find(({ current }) => current)?.key;
      return { page: view.page, uri: view.uri, ...(setting !== undefined && { setting }) };
    }
    case 'comparison':
      return { page: view.page, a: view.a.target, b: view.b.target };
    case 'adjusters':
      return { page: view.page, uri: view.uri };
    case 'branch':
      return { page: view.page, base: view.base, uri: view.uri, drawn: view.drawn };
  }
}

import type { BranchRowView, BranchView, ComparedPair, MovedView } from '../src/protocol/views';
import { selectInCharts, showCharts } from './charts';
import { button, element, speak } from './dom';
import { tellHost } from './host';
import { finding, MARKS, opener } from './parts';
import { tableFold } from './tables';

/** A branch against its base: what moved first, then every changed result; and when its charts are drawn. */
export function showBranch(view: BranchView, unfolded: ReadonlySet<string>): [Node[], Promise<unknown>] {
  const charts = view.changed.map((row) =>
    showCharts(row.chart === undefined ? [] : [row.chart], chooserOf(row), 'h4'),
  );
  const rows = view.changed.map((row, i) => resultSection(view, row, charts[i]?.[0] ?? [], unfolded));
  const nodes = [
    baseControls(view.base),
    ...(view.moved.length === 0
      ? []
      : [element('h2', {}, 'What moved'), element('ul', { id: 'moved' }, ...view.moved.map(movedItem))]),
    ...view.about.map(finding),
    ...(rows.length === 0 ? [] : [element('h2', {}, 'Results that changed or turned'), ...rows]),
    ...drawMore(view),
  ];
  return [nodes, Promise.all(charts.map(([, drawn]) => drawn))];
}

/** What the branch is held against, asked in words, since any revision that git knows will do. Asks again where it is left as it is. */
export function baseControls(base: string): HTMLElement {
  const input = element('input', {
    id: 'base',
    type: 'text',
    value: base,
    maxlength: '256',
    spellcheck: 'false',
    autocomplete: 'off',
    'aria-describedby': 'base-about',
    keydown: (event) => {
      if ((event as KeyboardEvent).key === 'Enter') ask();
    },
  });
  const ask = (): void => {
    tellHost({ kind: 'chooseBase', base: input.value.trim() });
  };
  return element(
    'div',
    { class: 'settings', role: 'group', 'aria-label': 'What the branch is held against' },
    element('label', { for: 'base' }, 'Base'),
    input,
    button('Review', ask, { id: 'base-review' }),
    element('span', { class: 'quiet', id: 'base-about' }, 'A branch, a tag or a commit. Empty: found from the branch.'),
  );
}

/** A point that is chosen is marked in its chart and opens its row in the text. */
function chooserOf({ uri }: BranchRowView): (row: number, chart: string) => void {
  return (row, chart) => {
    speak(selectInCharts(row, chart));
    if (uri !== undefined) tellHost({ kind: 'openFile', uri, line: row });
  };
}

/** Results that are drawn at each asking. */
const MORE = 40;

function drawMore({ changed, drawn }: BranchView): Node[] {
  const more = Math.min(MORE, changed.length - drawn);
  if (more <= 0) return [];
  const ask = (): void => {
    tellHost({ kind: 'drawMore', drawn: drawn + more });
  };
  return [
    element(
      'p',
      {},
      element('span', { class: 'quiet' }, `Charts of the first ${drawn} of ${changed.length} results are drawn. `),
      button(`Draw ${more} more`, ask, { id: 'draw-more' }),
    ),
  ];
}

function movedItem({ text, file, uri, line, compare }: MovedView, index: number): HTMLElement {
  const place = `${file}:${line}`;
  return element(
    'li',
    {},
    text,
    ' ',
    uri === undefined ? element('span', { class: 'quiet' }, file) : opener(place, uri, line, `moved-${index + 1}-open`),
    compare === undefined ? undefined : ' ',
    compare === undefined
      ? undefined
      : comparer(compare, `Compare ${file} before and now`, `moved-${index + 1}-compare`),
  );
}

function resultSection(
  { title }: BranchView,
  { id, label, file, change, uri, before, after, was, now, table, compare }: BranchRowView,
  figures: readonly HTMLElement[],
  unfolded: ReadonlySet<string>,
): HTMLElement {
  return element(
    'section',
    { class: `changed changed-${after ?? 'gone'}`, id, 'aria-labelledby': `${id}-name` },
    element(
      'h3',
      { id: `${id}-name` },
      ...turn(before, after),
      ` ${label} `,
      element('span', { class: 'quiet' }, change),
    ),
    element('dl', {}, ...side('Before', was, 'was not there'), ...side('Now', now, 'is gone')),
    element(
      'p',
      {},
      compare === undefined ? undefined : comparer(compare, `Compare ${label} before and now`, `${id}-compare`),
      compare === undefined ? undefined : ' ',
      uri === undefined ? element('span', { class: 'quiet' }, file) : opener(file, uri, 1, `${id}-open`),
    ),
    ...figures,
    table === undefined ? undefined : tableFold(table, title, unfolded, () => undefined),
  );
}

/** Verdicts by shape and word; a reader who does not see them hears the words. */
function turn(before: BranchRowView['before'], after: BranchRowView['after']): Node[] {
  if (before === after || before === undefined || after === undefined) return [badge(after ?? before)];
  return [badge(before), element('span', { class: 'quiet' }, ' to '), badge(after)];
}

function badge(verdict: BranchRowView['after']): HTMLElement {
  const words = verdict === undefined ? 'not judged' : `${MARKS[verdict]} ${verdict}`;
  return element('span', { class: `verdict small verdict-${verdict ?? 'undecided'}` }, words);
}

function side(name: string, text: string | undefined, none: string): Node[] {
  return [element('dt', {}, name), element('dd', {}, text ?? none)];
}

function comparer(pair: ComparedPair, label: string, id: string): HTMLElement {
  const act = (): void => {
    tellHost({ kind: 'compare', ...pair });
  };
  return button('Compare', act, { id, 'aria-label': label });
}

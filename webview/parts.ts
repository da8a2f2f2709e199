import type { FindingView, PageView, SettingChoice } from '../src/protocol/views';
import { button, element } from './dom';
import { tellHost } from './host';

export const MARKS = { pass: '●', undecided: '◇', fail: '✕' } as const;
const LEVELS: Readonly<Record<FindingView['level'], string>> = {
  error: 'Error',
  warning: 'Warning',
  note: 'Note',
  waived: 'Waived',
};

export function heading(view: PageView): Node[] {
  const { verdict, verdictWord } = view;
  const badge =
    verdict === undefined
      ? undefined
      : element('span', { class: `verdict verdict-${verdict}` }, `${MARKS[verdict]} ${verdictWord ?? verdict}`);
  const [first, ...others] = view.sentences;
  return [
    element('h1', {}, badge, view.title),
    ...(first === undefined ? [] : [element('p', { class: 'first-sentence' }, first)]),
    ...others.map((sentence) => element('p', {}, sentence)),
    ...(view.facts.length === 0
      ? []
      : [
          element(
            'dl',
            {},
            ...view.facts.flatMap(({ name, text }) => [
              element('dt', {}, name),
              element('dd', {}, text, ' ', factOpener(view, name)),
            ]),
          ),
        ]),
  ];
}

/** In a comparison the facts A and B tell the two sides; each opens its file. */
function factOpener(view: PageView, name: string): HTMLButtonElement | undefined {
  if (view.page !== 'comparison' || (name !== 'A' && name !== 'B')) return undefined;
  const { uri } = name === 'A' ? view.a : view.b;
  return uri === undefined ? undefined : opener('open', uri, 1);
}

export function opener(label: string, uri: string, line: number, id?: string): HTMLButtonElement {
  return button(
    label,
    () => {
      tellHost({ kind: 'openFile', uri, line });
    },
    { class: 'plain', id },
  );
}

/** One setting at a time: a list to choose from, and a step to either neighbour. */
export function settings({ settings: choices }: PageView): Node[] {
  if (choices.length < 2) return [];
  const at = choices.findIndex(({ current }) => current);
  const choose = (choice: SettingChoice | undefined): void => {
    if (choice !== undefined) tellHost({ kind: 'chooseSetting', setting: choice.key });
  };
  const list = element('select', {
    id: 'setting',
    change: ({ target }) => {
      choose(choices[(target as HTMLSelectElement).selectedIndex]);
    },
  });
  choices.forEach(({ label, current }) => {
    list.append(element('option', { selected: current || undefined }, label));
  });
  const step = (label: string, id: string, by: number): HTMLButtonElement => {
    const neighbour = choices[at + by];
    return button(
      label,
      () => {
        choose(neighbour);
      },
      { id, 'aria-disabled': neighbour === undefined ? 'true' : 'false' },
    );
  };
  return [
    element(
      'div',
      { class: 'settings', role: 'group', 'aria-label': 'Setting that is drawn' },
      element('label', { for: 'setting' }, 'Setting'),
      list,
      step('Previous setting', 'setting-before', -1),
      step('Next setting', 'setting-after', 1),
      element('span', { class: 'quiet' }, `${at + 1} of ${choices.length}`),
    ),
  ];
}

export function steps({ steps: todo }: PageView): Node[] {
  if (todo.length === 0) return [];
  return [element('h2', {}, 'What to do next'), element('ol', {}, ...todo.map((text) => element('li', {}, text)))];
}

export function findings({ findings: found }: PageView): Node[] {
  if (found.length === 0) return [];
  return [element('h2', {}, 'Findings'), ...found.map(finding)];
}

export function finding(one: FindingView): Node {
  const lines = [one.message, one.evidence, one.next].filter((text) => text !== '');
  return element(
    'section',
    { class: `finding level-${one.level}` },
    element('h3', {}, `${LEVELS[one.level]}: ${one.title} `, element('span', { class: 'quiet' }, one.rule)),
    ...lines.map((text) => element('p', {}, text)),
    ...(one.waiver === undefined ? [] : [element('p', {}, one.waiver)]),
    ...(one.background === '' ? [] : [element('p', { class: 'quiet' }, one.background)]),
    opener(one.line > 0 ? `open at line ${one.line}` : 'open', one.uri, one.line),
  );
}

export function cautions({ cautions: words }: PageView): Node[] {
  if (words.length === 0) return [];
  return [
    element(
      'section',
      { class: 'cautions', 'aria-label': 'Cautions' },
      element('ul', {}, ...words.map((text) => element('li', {}, text))),
    ),
  ];
}

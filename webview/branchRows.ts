import type { BranchRowView } from '../src/protocol/views';
import { showCharts } from './charts';
import { button, element } from './dom';
import { tellHost } from './host';
import { opener } from './parts';

/** Every changed result of a branch: verdict before and after, a small chart, and the way to its comparison. */
export function showBranch(changed: readonly BranchRowView[]): Node[] {
  return changed.map(({ label, uri, before, after, sentences, chart, compare }) => {
    const [figures] = chart === undefined ? [[]] : showCharts([chart], () => undefined);
    return element(
      'section',
      { class: 'changed' },
      element('h2', {}, label),
      element('p', {}, `${before ?? 'new'} → ${after ?? 'gone'}`),
      ...sentences.map((text) => element('p', {}, text)),
      ...figures,
      compare === undefined
        ? undefined
        : button(
            'Compare',
            () => {
              tellHost({ kind: 'compare', ...compare });
            },
            { 'aria-label': `Compare ${label}` },
          ),
      uri === undefined ? undefined : opener('open', uri, 1),
    );
  });
}

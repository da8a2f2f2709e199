import type { ChartView, PointView } from '../src/protocol/views';
import { element, speak } from './dom';
import type { DrawnChart, Mark } from './drawChart';

export interface PointList {
  /** Marks the points of a row as chosen. */
  readonly choose: (row: number) => void;
}

type WithPoints = ChartView & { readonly points: readonly PointView[] };

/**
 * Lays a list box over a drawing, with an option at each point: reached by one press of Tab, walked by arrow keys, chosen by Enter, Space or a click,
 * and read aloud point by point. A screen reader can read it as a list as well.
 */
export function pointList(
  plot: HTMLElement,
  chart: WithPoints,
  drawn: DrawnChart,
  onChosen: (row: number) => void,
): PointList {
  const options = placed(chart, drawn).map(({ point, mark }, i) =>
    optionOf(point, mark, drawn, `${chart.id}-point-${i}`, () => {
      reach(i);
      onChosen(point.row);
    }),
  );
  const list = element('div', {
    class: 'points',
    id: `${chart.id}-points`,
    role: 'listbox',
    tabindex: '0',
    'aria-label': `Points of ${chart.title}`,
    'aria-describedby': `${chart.id}-about`,
    'aria-orientation': 'horizontal',
  });
  list.append(...options);
  plot.append(list);
  let at = -1;
  const reach = (to: number): void => {
    options[at]?.classList.remove('reached');
    at = Math.min(options.length - 1, Math.max(0, to));
    const option = options[at];
    if (option === undefined) return;
    option.classList.add('reached');
    list.setAttribute('aria-activedescendant', option.id);
    speak(option.getAttribute('aria-label') ?? '');
  };
  const targets: Readonly<Record<string, () => number>> = {
    ArrowRight: () => at + 1,
    ArrowDown: () => at + 1,
    ArrowLeft: () => at - 1,
    ArrowUp: () => at - 1,
    Home: () => 0,
    End: () => options.length - 1,
  };
  list.addEventListener('keydown', (event) => {
    const target = targets[event.key];
    if (target !== undefined) reach(target());
    else if ((event.key === 'Enter' || event.key === ' ') && at >= 0) options[at]?.click();
    else return;
    event.preventDefault();
  });
  list.addEventListener('focus', () => {
    if (at < 0) reach(0);
  });
  return {
    choose: (row) => {
      for (const option of options) option.setAttribute('aria-selected', String(option.dataset['row'] === String(row)));
      const first = options.findIndex((option) => option.dataset['row'] === String(row));
      if (first >= 0 && options[at]?.dataset['row'] !== String(row) && document.activeElement !== list) {
        options[at]?.classList.remove('reached');
        at = first;
      }
    },
  };
}

/** Each point with the mark that was drawn for it, by its key, else by its row and turn. */
function placed({ points }: WithPoints, { marks }: DrawnChart): { point: PointView; mark: Mark | undefined }[] {
  const left = [...marks];
  return points.map((point) => {
    const byKey = left.findIndex(({ key }) => key === point.key);
    const found = byKey >= 0 ? byKey : left.findIndex(({ key, row }) => key === undefined && row === point.row);
    return { point, mark: found < 0 ? undefined : left.splice(found, 1)[0] };
  });
}

/** A point without a mark (it lies outside the drawn range) still stands in the list. */
function optionOf(
  { row, label }: PointView,
  mark: Mark | undefined,
  { width, height, tip }: DrawnChart,
  id: string,
  act: () => void,
): HTMLElement {
  const option = element('div', {
    id,
    role: 'option',
    class: 'point',
    'aria-label': label,
    'aria-selected': 'false',
    'data-row': String(row),
    click: act,
  });
  const [left, top] = [`${(100 * (mark?.x ?? 0)) / width}%`, `${(100 * (mark?.y ?? 0)) / height}%`];
  option.style.left = left;
  option.style.top = top;
  option.addEventListener('mouseenter', () => {
    tip(label, left, top);
  });
  option.addEventListener('mouseleave', () => {
    tip('', left, top);
  });
  return option;
}

import type { ChartView } from '../src/protocol/views';
import { button, element } from './dom';
import { drawChart, type DrawnChart } from './drawChart';
import { tellHost } from './host';
import { pointList, type PointList } from './pointList';
import { drawnCsv, drawnPng, drawnSvg } from './savedChart';

interface Shown {
  readonly chart: ChartView;
  readonly drawn: DrawnChart;
  readonly list: PointList | undefined;
}

type OnChosen = (row: number, chart: string) => void;

let shown: Shown[] = [];
/** Charts of a view that was replaced meanwhile are thrown away when they are ready. */
let generation = 0;

/** Figures that can stand on the page at once, and when all of them are drawn. @param onChosen takes the row of a point that was chosen, and its chart */
export function showCharts(
  charts: readonly ChartView[],
  onChosen: OnChosen,
  level: 'h2' | 'h4' = 'h2',
): [HTMLElement[], Promise<void>] {
  const mine = generation;
  const figures = charts.map((chart) => {
    const plot = element('div', { class: 'plot' });
    return { chart, plot, figure: figureOf(chart, plot, level) };
  });
  const drawn = Promise.all(figures.map(async ({ chart, plot }) => draw(chart, plot, mine, onChosen)));
  return [figures.map(({ figure }) => figure), drawn.then(() => undefined)];
}

async function draw(chart: ChartView, plot: HTMLElement, mine: number, onChosen: OnChosen): Promise<void> {
  const drawn = await drawChart(plot, chart);
  if (mine !== generation) {
    drawn.finish();
    return;
  }
  const list =
    chart.points === undefined || chart.points.length === 0
      ? undefined
      : pointList(plot, { ...chart, points: chart.points }, drawn, (row) => {
          onChosen(row, chart.id);
        });
  plot.setAttribute('role', list === undefined ? 'img' : 'group');
  plot.setAttribute('aria-label', list === undefined ? `${chart.title}. ${chart.description}` : chart.title);
  if (list === undefined) plot.setAttribute('tabindex', '0');
  shown.push({ chart, drawn, list });
}

/** Takes the charts down that are there. */
export function finishCharts(): void {
  generation += 1;
  for (const { drawn } of shown) drawn.finish();
  shown = [];
}

/** Marks the points of a row in every chart, or in one where it is named, and gives what they say. */
export function selectInCharts(row: number, only?: string): string {
  const said = new Set<string>();
  for (const { drawn, list, chart } of shown) {
    if (only !== undefined && chart.id !== only) continue;
    drawn.mark(row);
    list?.choose(row);
    for (const point of chart.points ?? []) if (point.row === row) said.add(point.label);
  }
  return [...said].join('; ');
}

function figureOf(chart: ChartView, plot: HTMLElement, level: 'h2' | 'h4'): HTMLElement {
  const { id, title, description } = chart;
  const save = (label: string, act: () => void): HTMLButtonElement =>
    button(label, act, { id: `${id}-${label.toLowerCase()}`, 'aria-label': `Save ${title} as ${label}` });
  return element(
    'figure',
    { id, 'aria-labelledby': `${id}-title` },
    element(
      'figcaption',
      {},
      element(level, { id: `${id}-title` }, title),
      element(
        'span',
        { class: 'saving' },
        save('SVG', () => void keep(chart, 'svg', drawnSvg)),
        save('PNG', () => void keep(chart, 'png', drawnPng)),
        save('CSV', () => void keep(chart, 'csv', drawnCsv)),
      ),
    ),
    plot,
    element('p', { class: 'quiet', id: `${id}-about` }, description),
  );
}

async function keep(
  chart: ChartView,
  format: 'svg' | 'png' | 'csv',
  make: (spec: ChartView['spec']) => Promise<string>,
): Promise<void> {
  tellHost({ kind: 'save', format, name: chart.title.slice(0, 200), data: await make(chart.spec) });
}

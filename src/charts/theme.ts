import type { JsonObject } from './chartSpec';

/**
 * Colours of a chart. Every line and mark has 3:1 or more against `paper`, every text 4.5:1; what they tell apart is also told
 * by position, dash or the shape of a marker, so nothing rests on colour.
 */
export interface ChartTheme {
  readonly paper: string;
  readonly ink: string;
  /** Axis labels and notes. */
  readonly quiet: string;
  /** Axis lines, and the edges of a tolerance band. */
  readonly edge: string;
  /** Grid and fills behind the data; decoration only. */
  readonly grid: string;
  readonly band: string;
  readonly compression: string;
  readonly rebound: string;
  readonly reference: string;
  readonly fail: string;
  /** For curves that are told apart by nothing else than their place in a list; used with SERIES_DASH. */
  readonly series: readonly [string, string, string];
}

/** Blue and vermilion of a palette made for colour-blind readers (Okabe and Ito, Color Universal Design, 2008), darkened for paper. */
export const LIGHT: ChartTheme = {
  paper: '#ffffff',
  ink: '#1c2126',
  quiet: '#4d565f',
  edge: '#737d87',
  grid: '#e4e8eb',
  band: '#e6ebe9',
  compression: '#00639c',
  rebound: '#ad4700',
  reference: '#4d565f',
  fail: '#a8003c',
  series: ['#00639c', '#ad4700', '#5c3f8f'],
};

export const DARK: ChartTheme = {
  paper: '#171b1f',
  ink: '#e8ecef',
  quiet: '#aab4bd',
  edge: '#7f8a94',
  grid: '#2b3238',
  band: '#26302d',
  compression: '#5cb8ee',
  rebound: '#f09a4e',
  reference: '#aab4bd',
  fail: '#ff7d9c',
  series: ['#5cb8ee', '#f09a4e', '#bda4f0'],
};

/** The dash of each of `series`: solid, long, dotted. */
export const SERIES_DASH: readonly (readonly number[])[] = [
  [1, 0],
  [7, 3],
  [2, 2.5],
];
export const REFERENCE_DASH: readonly number[] = [5, 3];

/** The names of a theme's colours as custom properties: `--chart-ink`, `--chart-series-1` and so on. */
export function themeProperties(theme: ChartTheme, prefix = '--chart-'): Record<string, string> {
  const { series, ...single } = theme;
  return Object.fromEntries([
    ...Object.entries(single).map(([name, colour]) => [prefix + name, colour]),
    ...series.map((colour, i) => [`${prefix}series-${i + 1}`, colour]),
  ]) as Record<string, string>;
}

/** A theme whose colours the page decides by custom properties, so that one drawing serves light, dark and forced colours. */
export function propertyTheme(prefix = '--chart-'): ChartTheme {
  const of = (name: string): string => `var(${prefix}${name})`;
  return {
    paper: of('paper'),
    ink: of('ink'),
    quiet: of('quiet'),
    edge: of('edge'),
    grid: of('grid'),
    band: of('band'),
    compression: of('compression'),
    rebound: of('rebound'),
    reference: of('reference'),
    fail: of('fail'),
    series: [of('series-1'), of('series-2'), of('series-3')],
  };
}

/** Vega-Lite's `config` in these colours: one look for every chart. */
export function themeConfig(theme: ChartTheme): JsonObject {
  const text = { font: 'sans-serif', fontSize: 11 };
  return {
    aria: false,
    background: 'transparent',
    numberFormat: '~f',
    font: 'sans-serif',
    padding: 4,
    view: { stroke: null },
    axis: {
      domainColor: theme.edge,
      tickColor: theme.edge,
      tickSize: 4,
      gridColor: theme.grid,
      labelColor: theme.quiet,
      labelFontSize: text.fontSize,
      titleColor: theme.ink,
      titleFontSize: text.fontSize,
      titleFontWeight: 'normal',
      titlePadding: 6,
    },
    axisY: { minExtent: 34 },
    legend: {
      labelColor: theme.ink,
      labelFontSize: text.fontSize,
      labelLimit: 400,
      orient: 'bottom',
      direction: 'horizontal',
      title: null,
      symbolSize: 60,
      symbolStrokeColor: theme.ink,
      symbolFillColor: 'transparent',
      offset: 6,
    },
    title: { color: theme.ink, fontSize: 12, fontWeight: 'bold', anchor: 'start', frame: 'group', offset: 4 },
    text: { ...text, color: theme.ink },
    line: { strokeWidth: 1.6 },
    rule: { color: theme.edge },
  };
}

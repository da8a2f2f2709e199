import type { AdjusterReview, ReviewedStep } from '../../review/adjusters/adjusterReview';
import { measure, rounded, SCHEMA, type ChartSpec, type Json, type JsonObject } from '../chartSpec';
import { themeConfig, type ChartTheme } from '../theme';

export interface StepChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** What is said of a step; the words of the review. */
  readonly stateOf: (sweep: AdjusterReview, step: ReviewedStep) => string;
}

/** The state of a step is a shape first: a disc where even, a saltire where found, an open mark where nothing is judged. */
const STATES: readonly {
  readonly state: string;
  readonly shape: string;
  readonly found: boolean;
  readonly filled: boolean;
}[] = [
  { state: 'even', shape: 'circle', found: false, filled: true },
  { state: 'not judged', shape: 'circle', found: false, filled: false },
  { state: 'outside limits', shape: 'diamond', found: false, filled: false },
  { state: 'uneven', shape: 'M-0.8,-0.8L0.8,0.8M-0.8,0.8L0.8,-0.8', found: true, filled: false },
  { state: 'wrong way', shape: 'triangle-down', found: true, filled: true },
  { state: 'dead', shape: 'M-0.9,0L0.9,0', found: true, filled: false },
];

/**
 * Every step of a sweep over the median one (or the reference's), with its expanded uncertainty and the limits of the spec. Undefined
 * where there is no step.
 */
export function stepRatios(sweep: AdjusterReview, options: StepChartOptions): ChartSpec | undefined {
  const rows = sweep.steps.flatMap((step) => rowOf(sweep, step, options));
  if (rows.length === 0) return undefined;
  const { theme, width = 600, height = 130 } = options;
  const x = measure('middle', {
    scale: { zero: false, nice: false, domain: [sweep.positions[0]!, sweep.positions.at(-1)!] },
    axis: {
      title: `position of the adjuster [${sweep.unit}]`,
      grid: true,
      tickCount: Math.min(12, sweep.positions.length),
    },
  });
  const yardstick = sweep.law === 'as-reference' ? "the reference's" : 'the median';
  const y = measure('ratio', {
    scale: { zero: true, nice: true },
    axis: { title: ['step over', `${yardstick} [%]`], grid: true, tickCount: 5 },
  });
  return {
    $schema: SCHEMA,
    width,
    height,
    layer: [...limitLayers(sweep, theme), ...barLayers(rows, x, theme), pointLayer(rows, x, y, theme)],
    config: themeConfig(theme),
  };
}

function rowOf(sweep: AdjusterReview, step: ReviewedStep, { stateOf }: StepChartOptions): JsonObject[] {
  if (!Number.isFinite(step.ratio)) return [];
  const U = step.U ?? 0;
  return [
    {
      from: step.from,
      to: step.to,
      middle: (step.from + step.to) / 2,
      ratio: rounded(100 * step.ratio),
      low: rounded(100 * (step.ratio - U)),
      high: rounded(100 * (step.ratio + U)),
      state: stateOf(sweep, step),
    },
  ];
}

function limitLayers({ limits }: AdjusterReview, theme: ChartTheme): Json[] {
  const even: Json = {
    data: { values: [{ even: 100 }] },
    mark: { type: 'rule', color: theme.edge },
    encoding: { y: measure('even') },
  };
  if (limits === undefined) return [even];
  const [least, most] = [rounded(100 * limits.least), rounded(100 * limits.most)];
  return [
    {
      data: { values: [{ least, most }] },
      mark: { type: 'rect', color: theme.band, opacity: 1 },
      encoding: { y: measure('least'), y2: { field: 'most' } },
    },
    {
      data: { values: [{ limit: least }, { limit: most }] },
      mark: { type: 'rule', color: theme.edge, strokeDash: [5, 3] },
      encoding: { y: measure('limit') },
    },
    even,
  ];
}

/** Width of a step as a thin line, its uncertainty as a bar. */
function barLayers(rows: readonly JsonObject[], x: JsonObject, theme: ChartTheme): Json[] {
  return [
    {
      data: { values: rows },
      mark: { type: 'rule', color: theme.quiet, strokeWidth: 1 },
      encoding: { x: { ...x, field: 'from' }, x2: { field: 'to' }, y: measure('ratio') },
    },
    {
      data: { values: rows.filter((row) => row['low'] !== row['high']) },
      mark: { type: 'rule', color: theme.ink, strokeWidth: 1.2 },
      encoding: { x, y: measure('low'), y2: { field: 'high' } },
    },
  ];
}

function pointLayer(rows: readonly JsonObject[], x: JsonObject, y: JsonObject, theme: ChartTheme): Json {
  const present = STATES.filter(({ state }) => rows.some((row) => row['state'] === state));
  const when = (pick: (is: (typeof STATES)[number]) => boolean, value: string): Json[] =>
    present.filter(pick).map(({ state }) => ({ test: { field: 'state', equal: state }, value }));
  return {
    data: { values: rows },
    mark: { type: 'point', size: 70, opacity: 1, strokeWidth: 1.8 },
    encoding: {
      x,
      y,
      shape: {
        field: 'state',
        type: 'nominal',
        scale: { domain: present.map(({ state }) => state), range: present.map(({ shape }) => shape) },
        legend: { symbolStrokeWidth: 1.6, encoding: { symbols: { stroke: { value: theme.ink } } } },
      },
      stroke: { condition: when(({ found }) => found, theme.fail), value: theme.ink },
      fill: {
        condition: [
          ...when(({ filled, found }) => filled && !found, theme.ink),
          ...when(({ filled, found }) => filled && found, theme.fail),
        ],
        value: theme.paper,
      },
    },
  };
}

import type { Side } from '../../analysis/side';
import type { AdjusterReview, AdjustersReview } from '../../review/adjusters/adjusterReview';
import { measure, milli, rounded, SCHEMA, SIDES, SIGN, type ChartSpec, type Json, type JsonObject } from '../chartSpec';
import { themeConfig, type ChartTheme } from '../theme';

export interface ReachMapOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
}

/** Told apart by dash and marker as well as by colour. */
const DASHES: readonly (readonly number[])[] = [
  [1, 0],
  [7, 3],
  [2, 2.5],
  [9, 3, 2, 3],
];
const SHAPES = ['circle', 'square', 'triangle-up', 'diamond'];

/**
 * What one unit of every adjuster does over velocity: damping lost a unit opened, compression upwards, rebound downwards, each adjuster
 * with its own dash and marker, and as a bar at the edge the band that the spec wants it to act in. Undefined where nothing was swept.
 */
export function reachMap({ sweeps }: AdjustersReview, options: ReachMapOptions): ChartSpec | undefined {
  const shown = oneEach(sweeps);
  const curves = shown.flatMap((sweep, i) =>
    SIDES.map((side) => ({ side, name: nameOf(sweep), rows: rowsOf(sweep, side, i) })),
  );
  const drawn = curves.filter(({ rows }) => rows.length > 0);
  if (drawn.length === 0) return undefined;
  const { theme, width = 600, height = 240 } = options;
  const names = shown.map(nameOf);
  const x = measure('velocity', {
    scale: { zero: true, nice: false },
    axis: { title: 'peak velocity [mm/s]', grid: true, tickCount: 8 },
  });
  const y = measure('effect', {
    scale: { zero: true, nice: true },
    axis: { title: ['damping lost a unit opened [N],', 'rebound downwards'], grid: true, tickCount: 6 },
  });
  const tell = {
    // By number: by name it would share the legend of the markers, and dash their outlines.
    strokeDash: {
      field: 'index',
      type: 'nominal',
      scale: { domain: names.map((_, i) => i), range: names.map((_, i) => DASHES[i % DASHES.length]!) },
      legend: null,
    },
    shape: {
      field: 'adjuster',
      type: 'nominal',
      scale: { domain: names, range: names.map((_, i) => SHAPES[i % SHAPES.length]!) },
      legend: {
        symbolStrokeWidth: 1.6,
        encoding: { symbols: { fill: { value: 'transparent' }, stroke: { value: theme.ink } } },
      },
    },
  };
  return {
    $schema: SCHEMA,
    width,
    height,
    layer: [
      {
        data: { values: [{ effect: 0 }] },
        mark: { type: 'rule', color: theme.edge },
        encoding: { y: measure('effect') },
      },
      ...bandBars(shown, height, theme),
      ...drawn.map(({ side, rows }) => curveLayer(rows, side, { x, y, tell, theme })),
    ],
    config: themeConfig(theme),
  };
}

/** One sweep of each adjuster: the one with most positions. */
function oneEach(sweeps: readonly AdjusterReview[]): readonly AdjusterReview[] {
  return sweeps.filter(({ id }, i) => sweeps.findIndex((other) => other.id === id) === i);
}

/** Names come from files and stand in data alone. */
function nameOf({ id, unit }: AdjusterReview): string {
  return `${id}, a ${unit}`;
}

function rowsOf(sweep: AdjusterReview, side: Side, index: number): JsonObject[] {
  const effect = sweep.details.effects[side];
  const acts = sweep.side === 'both' || sweep.side === side;
  if (effect === undefined || (!acts && !movesOther(sweep))) return [];
  return effect.speeds.flatMap((speed, k) => {
    const value = effect.perUnit[k]!;
    return Number.isFinite(value)
      ? [{ velocity: milli(speed), effect: rounded(SIGN[side] * value), adjuster: nameOf(sweep), index }]
      : [];
  });
}

/** The other side is drawn only where it moves by more than a twentieth of its own, so that lines along zero do not hide each other. */
const WORTH_DRAWING = 0.05;
function movesOther({ details }: AdjusterReview): boolean {
  return (details.crossTalk?.share ?? 0) > WORTH_DRAWING;
}

interface Channels {
  readonly x: JsonObject;
  readonly y: JsonObject;
  readonly tell: JsonObject;
  readonly theme: ChartTheme;
}

function curveLayer(rows: readonly JsonObject[], side: Side, { x, y, tell, theme }: Channels): Json {
  const colour = theme[side];
  return {
    data: { values: rows },
    layer: [
      {
        mark: { type: 'line', interpolate: 'monotone', color: colour, strokeWidth: 1.6 },
        encoding: { x, y, strokeDash: tell['strokeDash']! },
      },
      {
        mark: { type: 'point', color: colour, fill: theme.paper, size: 36, opacity: 1 },
        encoding: { x, y, shape: tell['shape']! },
      },
    ],
  };
}

/** A bar for each adjuster that the spec gives a band, at the edge of its side: above for compression, below for rebound. */
function bandBars(sweeps: readonly AdjusterReview[], height: number, theme: ChartTheme): Json[] {
  const banded = sweeps.filter(({ band }) => band !== undefined);
  return banded.flatMap((sweep, i) => {
    const [from, to] = sweep.band!;
    const above = sweep.side !== 'rebound';
    const at = above ? 8 + 13 * i : height - 8 - 13 * i;
    const data = { values: [{ from: milli(from), to: milli(to), label: `${sweep.id}: band of the spec` }] };
    return [
      {
        data,
        mark: { type: 'rule', y: at, strokeWidth: 2.5, color: theme.quiet },
        encoding: { x: measure('from'), x2: { field: 'to' } },
      },
      {
        data,
        mark: { type: 'text', y: at, align: 'left', baseline: 'middle', dx: 6, color: theme.quiet, fontSize: 10 },
        encoding: { x: measure('to'), text: { field: 'label', type: 'nominal' } },
      },
    ];
  });
}

import type { Side } from '../../analysis/side';
import type { AdjusterReview } from '../../review/adjusters/adjusterReview';
import { measure, milli, rounded, SCHEMA, SIDES, SIGN, type ChartSpec, type Json, type JsonObject } from '../chartSpec';
import { themeConfig, type ChartTheme } from '../theme';

export interface SweepCurvesOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** Position that is drawn in full; the first one where absent. An editor switches it. */
  readonly position?: number;
}

/**
 * The settings of a sweep laid over each other: damping force over peak velocity, one position in full with its points, every other one
 * thin behind it; the ends of the range are named. Undefined without forces.
 */
export function sweepCurves(sweep: AdjusterReview, options: SweepCurvesOptions): ChartSpec | undefined {
  const { theme, width = 600, height = 240 } = options;
  const chosen = Math.max(0, sweep.positions.indexOf(options.position ?? sweep.positions[0]!));
  const layers = SIDES.flatMap((side) => sideLayers(sweep, side, chosen, theme, { words: true, axis: true }));
  if (layers.length === 0) return undefined;
  return { $schema: SCHEMA, width, height, layer: [zeroLine(theme), ...layers], config: themeConfig(theme) };
}

export interface SweepPanelsOptions {
  readonly theme: ChartTheme;
  /** Of the whole drawing. */
  readonly width?: number;
  readonly columns?: number;
}

/** More positions than this do not fit a page: every second, third and so on is shown. */
const MOST_PANELS = 16;

/**
 * The settings of a sweep shown one by one, for paper and pages without a script: a small panel a position, in full against the two ends
 * of the range, all on the same axes. Undefined without forces.
 */
export function sweepPanels(sweep: AdjusterReview, options: SweepPanelsOptions): ChartSpec | undefined {
  const { theme, width = 600, columns = 4 } = options;
  const stride = Math.ceil(sweep.positions.length / MOST_PANELS);
  const shown = sweep.positions.map((_, i) => i).filter((i) => i % stride === 0);
  const size = Math.floor((width - 50) / columns) - 14;
  const panels = shown.map((chosen, n) => ({
    title: { text: positionName(sweep, chosen), fontSize: 10, fontWeight: 'normal', offset: 1 },
    width: size,
    height: Math.round(size * 0.8),
    layer: [
      zeroLine(theme),
      ...SIDES.flatMap((side) =>
        sideLayers(sweep, side, chosen, theme, {
          words: false,
          axis: n % columns === 0,
          low: n + columns >= shown.length,
        }),
      ),
    ],
  }));
  if (SIDES.every((side) => sweep.details.forces[side] === undefined)) return undefined;
  return {
    $schema: SCHEMA,
    concat: panels,
    columns,
    spacing: 10,
    resolve: { scale: { x: 'shared', y: 'shared' } },
    config: themeConfig(theme),
  };
}

function positionName({ id, unit, positions }: AdjusterReview, i: number): string {
  return `${id} ${rounded(positions[i]!)} ${unit}`;
}

function zeroLine(theme: ChartTheme): Json {
  return {
    data: { values: [{ force: 0 }] },
    mark: { type: 'rule', color: theme.edge },
    encoding: { y: measure('force') },
  };
}

interface Drawing {
  /** Names at the ends of the range, and every position thin. */
  readonly words: boolean;
  readonly axis: boolean;
  /** Lowest row of panels, which carries the velocity axis. */
  readonly low?: boolean;
}

function sideLayers(sweep: AdjusterReview, side: Side, chosen: number, theme: ChartTheme, drawing: Drawing): Json[] {
  const forces = sweep.details.forces[side];
  if (forces === undefined) return [];
  const last = sweep.positions.length - 1;
  const rows = (i: number): JsonObject[] =>
    forces.speeds.map((speed, k) => ({
      velocity: milli(speed),
      force: rounded(SIGN[side] * forces.damping[i]![k]!),
      position: sweep.positions[i]!,
    }));
  const full = drawing.words || drawing.low === true;
  const x = measure('velocity', {
    scale: { zero: true, nice: false },
    axis: {
      title: full ? 'peak velocity [mm/s]' : null,
      labels: full,
      ticks: full,
      grid: true,
      tickCount: drawing.words ? 8 : 3,
    },
  });
  const y = measure('force', {
    scale: { zero: true, nice: true },
    axis: {
      title: drawing.axis ? (drawing.words ? 'damping force [N]' : 'damping [N]') : null,
      labels: drawing.axis,
      ticks: drawing.axis,
      grid: true,
      tickCount: drawing.words ? 6 : 4,
    },
  });
  const behind = drawing.words ? sweep.positions.map((_, i) => i) : [0, last];
  const line = { type: 'line', interpolate: 'monotone', color: theme[side] };
  return [
    {
      data: { values: behind.filter((i) => i !== chosen).flatMap(rows) },
      mark: { ...line, strokeWidth: 0.8, opacity: 0.7, strokeDash: drawing.words ? [1, 0] : [3, 2] },
      encoding: { x, y, detail: { field: 'position', type: 'nominal' } },
    },
    {
      data: { values: rows(chosen) },
      layer: [
        { mark: { ...line, strokeWidth: 2 }, encoding: { x, y } },
        ...(drawing.words
          ? [{ mark: { type: 'point', filled: true, color: theme[side], size: 26, opacity: 1 }, encoding: { x, y } }]
          : []),
      ],
    },
    ...(drawing.words ? [0, last].map((i): Json => endName(sweep, i, rows(i).at(-1)!, theme)) : []),
  ];
}

function endName(sweep: AdjusterReview, i: number, end: JsonObject, theme: ChartTheme): Json {
  return {
    data: { values: [{ ...end, name: positionName(sweep, i) }] },
    mark: { type: 'text', align: 'left', baseline: 'middle', dx: 6, color: theme.ink },
    encoding: { x: measure('velocity'), y: measure('force'), text: { field: 'name', type: 'nominal' } },
  };
}

import type { LoopMeasure } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import { measure, milli, rounded, SCHEMA, SIGN, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { SERIES_DASH, themeConfig, type ChartTheme } from './theme';

/** A place in the stroke that a finding speaks of. */
export interface LoopMark {
  readonly side: Side;
  /** Displacement from mid-stroke [m]. */
  readonly from: number;
  readonly to: number;
  /** Such as `void 2.4 mm, rebound`. */
  readonly label: string;
}

export interface LoopChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** Name of each loop, such as `300 mm/s`; distinct, and never a name that came from a file alone: Vega looks such names up in plain objects. */
  readonly names: readonly string[];
  readonly marks?: readonly LoopMark[];
}

/** Slowest, middle and fastest of the steps at one setting: between them lies what a loop can show. */
export function chosenLoops(loops: readonly LoopMeasure[]): readonly LoopMeasure[] {
  const drawn = loops
    .filter((loop) => loop.curve.displacement.length > 2)
    .sort((a, b) => a.speed - b.speed || a.pass - b.pass);
  const picks = [0, (drawn.length - 1) >> 1, drawn.length - 1];
  return [...new Set(picks)].flatMap((i) => drawn[i] ?? []);
}

/** Load cell force over displacement of up to three steps, each by colour and dash; undefined without a loop. */
export function loopsChart(loops: readonly LoopMeasure[], options: LoopChartOptions): ChartSpec | undefined {
  const shown = loops.slice(0, SERIES_DASH.length);
  if (shown.length === 0) return undefined;
  const { theme, height = 240 } = options;
  const names = shown.map((_, i) => options.names[i] ?? `loop ${i + 1}`);
  const legend = { symbolType: 'stroke', symbolSize: 300, symbolStrokeWidth: 1.8 };
  return {
    $schema: SCHEMA,
    width: options.width ?? 600,
    height,
    layer: [
      ...markLayers(options.marks ?? [], height, theme),
      {
        data: { values: shown.flatMap((loop, i) => rowsOf(loop, names[i]!)) },
        // Without `order: null` the points of a line are sorted by x, which no loop survives.
        mark: { type: 'line', order: null, strokeWidth: 1.5, interpolate: 'linear' },
        encoding: {
          x: measure('displacement', {
            scale: { zero: false, nice: true },
            axis: { title: 'displacement from mid-stroke [mm], compression positive', grid: true, tickCount: 8 },
          }),
          y: measure('force', {
            scale: { zero: true, nice: true },
            axis: { title: 'load cell force [N]', grid: true, tickCount: 6 },
          }),
          color: {
            field: 'step',
            type: 'nominal',
            sort: null,
            scale: { domain: names, range: theme.series.slice(0, names.length) },
            legend,
          },
          strokeDash: {
            field: 'step',
            type: 'nominal',
            sort: null,
            scale: { domain: names, range: SERIES_DASH.slice(0, names.length) },
            legend,
          },
        },
      },
    ],
    config: themeConfig(theme),
  };
}

function rowsOf(loop: LoopMeasure, step: string): JsonObject[] {
  const { displacement, force } = loop.curve;
  const rows: JsonObject[] = [];
  for (let i = 0; i <= displacement.length; i++) {
    const at = i % displacement.length;
    if (!Number.isFinite(displacement[at]!) || !Number.isFinite(force[at]!)) continue;
    rows.push({ displacement: milli(displacement[at]!), force: rounded(force[at]!), step });
  }
  return rows;
}

/** A shaded part of the stroke with its words at the edge of the side that it concerns. */
function markLayers(marks: readonly LoopMark[], height: number, theme: ChartTheme): Json[] {
  return marks.flatMap((mark) => {
    const [low, high] = [Math.min(mark.from, mark.to), Math.max(mark.from, mark.to)].map(milli) as [number, number];
    const data = { values: [{ low, high, label: mark.label }] };
    const right = low + high > 0;
    return [
      {
        data,
        mark: { type: 'rect', color: theme.fail, opacity: 0.2 },
        encoding: { x: measure('low'), x2: { field: 'high' } },
      },
      // Words cross the curves: a rim of paper first keeps them readable.
      ...[{ color: theme.paper, stroke: theme.paper, strokeWidth: 4 }, { color: theme.fail }].map((paint) => ({
        data,
        mark: {
          type: 'text',
          align: right ? 'right' : 'left',
          dx: right ? -4 : 4,
          baseline: SIGN[mark.side] > 0 ? 'top' : 'bottom',
          y: SIGN[mark.side] > 0 ? 4 : height - 4,
          fontWeight: 'bold',
          ...paint,
        },
        encoding: { x: measure(right ? 'low' : 'high'), text: { field: 'label', type: 'nominal' } },
      })),
    ];
  });
}

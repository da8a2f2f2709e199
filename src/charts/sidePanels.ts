import type { Side } from '../analysis/side';
import { SCHEMA, SIDES, SIDE_TITLE, ticksThatFit, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { themeConfig, type ChartTheme } from './theme';

export interface PanelOptions {
  readonly theme: ChartTheme;
  /** Pixels of the plot, without axes. */
  readonly width: number;
  readonly height: number;
  /** Lines of it: beside so low a panel a long one would push the panels apart. */
  readonly yTitle: readonly string[];
  readonly yDomain: readonly [number, number];
  /** Measured peak velocities [mm/s]: ends of the axis and its labels. */
  readonly velocities: readonly number[];
  /** Words beside the upper and lower edge of each panel. */
  readonly edges: readonly [string, string];
  /** Layers of a panel, above band and zero line; encodings use `velocityChannel`. */
  readonly layers: (side: Side, x: JsonObject) => readonly Json[];
}

/**
 * Compression above, rebound below it, over one axis of unsigned peak velocity. The axis is a square root, so that the slow
 * steps, where bleeds and needles act, are not squeezed into a corner; its labels are the measured speeds.
 */
export function sidePanels(options: PanelOptions): ChartSpec {
  const { theme, width, height } = options;
  const last = Math.max(...options.velocities, 1);
  const end = last * 1.03;
  const ticks = ticksThatFit(options.velocities, (v) => width * Math.sqrt(v / end), 30);
  const panels = SIDES.map((side, index) => {
    const lowest = index === SIDES.length - 1;
    const x: JsonObject = {
      field: 'velocity',
      type: 'quantitative',
      scale: { type: 'sqrt', domain: [0, end], nice: false, zero: true },
      axis: {
        values: ticks,
        grid: true,
        format: '~f',
        labels: lowest,
        ticks: lowest,
        title: lowest ? 'peak velocity [mm/s], square-root scale' : null,
      },
    };
    return {
      width,
      height,
      layer: [
        frame(options, x, end),
        ...options.layers(side, x),
        marginWord(options, options.edges[0], 0, 'top'),
        marginWord(options, SIDE_TITLE[side], height / 2, 'middle', side),
        marginWord(options, options.edges[1], height, 'bottom'),
      ],
    };
  });
  return {
    $schema: SCHEMA,
    vconcat: panels,
    spacing: 8,
    resolve: { scale: { shape: 'shared' } },
    config: themeConfig(theme),
  };
}

/** The zero line. It carries both axes, so that a panel without a single row still shows them. */
function frame({ theme, yDomain, yTitle }: PanelOptions, x: JsonObject, end: number): Json {
  return {
    data: { values: [0, end].map((velocity) => ({ velocity, zero: 0 })) },
    mark: { type: 'line', color: theme.edge, strokeWidth: 1 },
    encoding: {
      x,
      y: {
        field: 'zero',
        type: 'quantitative',
        scale: { domain: yDomain, nice: false, zero: false },
        axis: { title: yTitle, grid: false, tickCount: 5, labelOverlap: true },
      },
    },
  };
}

/** A word in the right margin: the panel's side in its colour, or what its upper and lower edge mean. */
function marginWord({ theme, width }: PanelOptions, text: string, y: number, baseline: string, side?: Side): Json {
  const style =
    side === undefined ? { color: theme.quiet, fontStyle: 'italic' } : { color: theme[side], fontWeight: 'bold' };
  return {
    data: { values: [{ text }] },
    mark: { type: 'text', align: 'left', baseline, x: width + 8, y, ...style },
    encoding: { text: { field: 'text', type: 'nominal' } },
  };
}

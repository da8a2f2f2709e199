import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { ComparedPoint, Comparison } from '../review/comparison';
import {
  measure,
  milli,
  rounded,
  SCHEMA,
  SIDES,
  SIDE_TITLE,
  type ChartSpec,
  type Json,
  type JsonObject,
} from './chartSpec';
import { sameSetting } from './pointSets';
import { sideName } from './sideName';
import { sidePanels } from './sidePanels';
import { REFERENCE_DASH, themeConfig, type ChartTheme } from './theme';
import { filledWhere } from './verdictMarks';

export interface ComparisonChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** The setting that is drawn. */
  readonly setting: Setting;
  /** Names of both runs for the legend, such as `A: F-017 build 1`; distinct. */
  readonly names: readonly [string, string];
}

function pointsOf(comparison: Comparison, setting: Setting, side: Side): readonly ComparedPoint[] {
  return comparison.points
    .filter((p) => p.side === side && sameSetting(p.setting, setting) && Number.isFinite(p.a) && Number.isFinite(p.b))
    .sort((p, q) => p.velocity - q.velocity || p.pass - q.pass);
}

/** The setting with the largest difference over its uncertainty, which a reader should see first. */
export function leadingComparedSetting(comparison: Comparison): Setting | undefined {
  const ranked = [...comparison.points].sort((p, q) => weight(q) - weight(p));
  return ranked[0]?.setting;
}

function weight(point: ComparedPoint): number {
  const ratio = Math.abs(point.difference) / Math.max(point.uncertainty, 1e-9);
  return Number.isFinite(ratio) ? ratio : 0;
}

/** Damping force of both over peak velocity at one setting: the first dashed, the second solid; compression above the axis. */
export function comparisonOverlay(comparison: Comparison, options: ComparisonChartOptions): ChartSpec | undefined {
  const { theme, names } = options;
  const values = SIDES.flatMap((side) =>
    pointsOf(comparison, options.setting, side).flatMap((p) => [
      { velocity: milli(p.velocity), force: rounded(p.a), run: names[0], second: 0, side: SIDE_TITLE[side] },
      { velocity: milli(p.velocity), force: rounded(p.b), run: names[1], second: 1, side: SIDE_TITLE[side] },
    ]),
  );
  if (values.length === 0) return undefined;
  const sides = SIDES.map((side) => SIDE_TITLE[side]);
  const x = measure('velocity', {
    scale: { zero: true, nice: false },
    axis: { title: 'peak velocity [mm/s]', grid: true, tickCount: 8 },
  });
  const y = measure('force', {
    scale: { zero: true, nice: true },
    axis: { title: 'damping force [N]', grid: true, tickCount: 6 },
  });
  const color: JsonObject = {
    field: 'side',
    type: 'nominal',
    scale: { domain: sides, range: SIDES.map((s) => theme[s]) },
    legend: null,
  };
  const legend = { symbolType: 'stroke', symbolSize: 300, symbolStrokeWidth: 1.8 };
  return {
    $schema: SCHEMA,
    width: options.width ?? 600,
    height: options.height ?? 260,
    layer: [
      {
        data: { values: [{ force: 0 }] },
        mark: { type: 'rule', color: theme.edge },
        encoding: { y: measure('force') },
      },
      {
        data: { values },
        mark: { type: 'line', interpolate: 'monotone', strokeWidth: 1.7 },
        encoding: {
          x,
          y,
          color,
          detail: { field: 'side', type: 'nominal' },
          strokeDash: {
            field: 'run',
            type: 'nominal',
            scale: { domain: [...names], range: [REFERENCE_DASH, [1, 0]] },
            legend,
          },
        },
      },
      {
        data: { values },
        mark: { type: 'point', size: 22, opacity: 1, strokeWidth: 1.2 },
        encoding: {
          x,
          y,
          color,
          fill: {
            condition: { test: { field: 'second', equal: 0 }, value: theme.paper },
            field: 'side',
            type: 'nominal',
            scale: color['scale']!,
            legend: null,
          },
        },
      },
      ...SIDES.flatMap((side) =>
        sideName(
          values.findLast((row) => row.side === SIDE_TITLE[side]),
          side,
          { x, y },
          theme,
        ),
      ),
    ],
    config: themeConfig(theme),
  };
}

const STATES = { beyond: 'more than cycle scatter', within: 'within cycle scatter' } as const;

/** Second less first at one setting [N], harder upwards, a panel a side; bars are the expanded uncertainty of the difference. */
export function comparisonDifference(comparison: Comparison, options: ComparisonChartOptions): ChartSpec | undefined {
  const { theme, setting } = options;
  const drawn = SIDES.flatMap((side) => pointsOf(comparison, setting, side));
  if (drawn.length === 0) return undefined;
  const reach = drawn.flatMap((p) => [signed(p) - bar(p), signed(p) + bar(p)]);
  const most = Math.max(1, ...reach.map(Math.abs)) * 1.1;
  const domain = Object.values(STATES).filter((state) => drawn.some((p) => stateOf(p) === state));
  return sidePanels({
    theme,
    width: options.width ?? 600,
    height: options.height ?? 110,
    yTitle: ['difference', '[N]'],
    yDomain: [rounded(-most), rounded(most)],
    velocities: drawn.map((p) => milli(p.velocity)),
    edges: ['B is harder', 'B is softer'],
    layers: (side, x) => differenceLayers(pointsOf(comparison, setting, side), side, x, theme, domain),
  });
}

function differenceLayers(
  points: readonly ComparedPoint[],
  side: Side,
  x: JsonObject,
  theme: ChartTheme,
  domain: readonly string[],
): Json[] {
  const values = points.map((p) => ({
    velocity: milli(p.velocity),
    difference: rounded(signed(p)),
    low: rounded(signed(p) - bar(p)),
    high: rounded(signed(p) + bar(p)),
    state: stateOf(p),
  }));
  if (values.length === 0) return [];
  const y = measure('difference');
  return [
    {
      data: { values },
      layer: [
        { mark: { type: 'line', color: theme[side] }, encoding: { x, y } },
        {
          mark: { type: 'rule', color: theme.ink, strokeWidth: 1.2 },
          encoding: { x, y: measure('low'), y2: { field: 'high' } },
        },
        {
          mark: { type: 'point', opacity: 1, size: 40, color: theme[side] },
          encoding: {
            x,
            y,
            shape: {
              field: 'state',
              type: 'nominal',
              scale: { domain, range: domain.map((state) => (state === STATES.beyond ? 'square' : 'circle')) },
              legend: { symbolStrokeWidth: 1.6, ...filledWhere(STATES.beyond, theme) },
            },
            fill: {
              condition: { test: { field: 'state', equal: STATES.beyond }, value: theme[side] },
              value: theme.paper,
            },
          },
        },
      ],
    },
  ];
}

/** Positive where the second is harder [N]. */
function signed(point: ComparedPoint): number {
  return point.direction === 'softer' ? -Math.abs(point.difference) : Math.abs(point.difference);
}

function bar(point: ComparedPoint): number {
  return Number.isFinite(point.uncertainty) ? point.uncertainty : 0;
}

function stateOf(point: ComparedPoint): string {
  return point.beyondScatter ? STATES.beyond : STATES.within;
}

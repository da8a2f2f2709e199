import type { SideRatio } from '../review/resultShape';
import { measure, milli, rounded, SCHEMA, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { REFERENCE_DASH, themeConfig, type ChartTheme } from './theme';

export interface RatioChartOptions {
  readonly theme: ChartTheme;
  /** Pixels of the plot, without axes. */
  readonly width?: number;
  readonly height?: number;
}

/**
 * Rebound over compression damping by peak velocity: measured with its expanded uncertainty, the reference dashed. Undefined where
 * fewer than two speeds have both sides.
 */
export function reboundRatioChart(ratios: readonly SideRatio[], options: RatioChartOptions): ChartSpec | undefined {
  if (ratios.length < 2) return undefined;
  const { theme } = options;
  const rows = ratios.map(rowOf);
  const x = measure('velocity', {
    scale: { zero: true, nice: false },
    axis: { title: 'peak velocity [mm/s]', grid: true, tickCount: 8 },
  });
  const y = measure('ratio', {
    scale: { zero: true, nice: true },
    axis: { title: 'rebound / compression [1]', grid: true, tickCount: 5 },
  });
  const withReference = rows.filter((row) => row['reference'] !== undefined);
  return {
    $schema: SCHEMA,
    width: options.width ?? 600,
    height: options.height ?? 140,
    layer: [
      ...(withReference.length > 1 ? [referenceLine(withReference, x, y, theme)] : []),
      {
        data: { values: rows.filter((row) => row['high'] !== undefined) },
        mark: { type: 'rule', color: theme.ink, strokeWidth: 1 },
        encoding: { x, y: { ...y, field: 'low' }, y2: { field: 'high' } },
      },
      {
        data: { values: rows },
        layer: [
          { mark: { type: 'line', color: theme.ink, strokeWidth: 1.6 }, encoding: { x, y } },
          { mark: { type: 'point', filled: true, opacity: 1, size: 24, color: theme.ink }, encoding: { x, y } },
        ],
      },
    ],
    config: themeConfig(theme),
  };
}

function rowOf({ velocity, ratio, U, reference }: SideRatio): JsonObject {
  return {
    velocity: milli(velocity),
    ratio: rounded(ratio),
    ...(U !== undefined && { low: rounded(ratio - U), high: rounded(ratio + U) }),
    ...(reference !== undefined && { reference: rounded(reference) }),
  };
}

function referenceLine(values: readonly JsonObject[], x: JsonObject, y: JsonObject, theme: ChartTheme): Json {
  return {
    data: { values },
    mark: { type: 'line', color: theme.reference, strokeDash: REFERENCE_DASH, strokeWidth: 1.3 },
    encoding: { x, y: { ...y, field: 'reference' } },
  };
}

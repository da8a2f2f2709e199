import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { Correction } from '../review/correction';
import type { JudgedResult } from '../review/judgedResult';
import { measure, milli, rounded, SIGN, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { leadingSetting, sameSetting } from './pointSets';
import { sidePanels } from './sidePanels';
import { REFERENCE_DASH, type ChartTheme } from './theme';
import { filledWhere } from './verdictMarks';

export interface LeftOverChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  /** Height of one of the two panels. */
  readonly height?: number;
  /** Setting whose points are drawn; that of the worst point where absent. */
  readonly setting?: Setting;
}

const STATES = { drift: 'drift as measured', left: 'left over' } as const;

/**
 * Drift against peak velocity [N], gas not taken off, harder upwards, a panel a side: filled as measured, dashed what the causes make of it,
 * hollow what is left over. Undefined where no point of the setting took part.
 */
export function leftOverDrift(
  result: JudgedResult,
  correction: Correction,
  options: LeftOverChartOptions,
): ChartSpec | undefined {
  const setting = options.setting ?? leadingSetting(result);
  if (setting === undefined) return undefined;
  const rows = rowsOf(result, correction, setting);
  if (rows.length === 0) return undefined;
  const reach = rows.flatMap(({ drift, explained, left }) => [drift, explained, left].map(Math.abs));
  const most = Math.max(1, ...reach) * 1.1;
  return sidePanels({
    theme: options.theme,
    width: options.width ?? 600,
    height: options.height ?? 110,
    yTitle: ['drift', '[N]'],
    yDomain: [rounded(-most), rounded(most)],
    velocities: rows.map(({ velocity }) => velocity),
    edges: ['harder', 'softer'],
    layers: (side, x) =>
      layersOf(
        rows.filter((row) => row.side === side),
        options.theme,
        side,
        x,
      ),
  });
}

interface LeftOverRow {
  readonly side: Side;
  readonly velocity: number;
  readonly drift: number;
  readonly explained: number;
  readonly left: number;
}

function rowsOf(result: JudgedResult, correction: Correction, setting: Setting): readonly LeftOverRow[] {
  return correction.points
    .flatMap(({ point, drift, explained }) => {
      const judged = result.points[point];
      if (judged === undefined || !sameSetting(judged.setting, setting)) return [];
      const harder = (force: number): number => rounded(SIGN[judged.side] * force);
      return [
        {
          side: judged.side,
          velocity: milli(judged.velocity),
          drift: harder(drift),
          explained: harder(explained),
          left: harder(drift - explained),
        },
      ];
    })
    .sort((a, b) => a.velocity - b.velocity);
}

function layersOf(rows: readonly LeftOverRow[], theme: ChartTheme, side: Side, x: JsonObject): Json[] {
  if (rows.length === 0) return [];
  const color = theme[side];
  const line = rows.map(({ velocity, explained }) => ({ velocity, drift: explained }));
  const marks = rows.flatMap(({ velocity, drift, left }) => [
    { velocity, drift, state: STATES.drift },
    { velocity, drift: left, state: STATES.left },
  ]);
  const y = measure('drift');
  return [
    {
      data: { values: line },
      mark: { type: 'line', color, strokeWidth: 1.6, strokeDash: REFERENCE_DASH },
      encoding: { x, y },
    },
    {
      data: { values: marks },
      mark: { type: 'point', opacity: 1, size: 40, color, strokeWidth: 1.4 },
      encoding: {
        x,
        y,
        shape: {
          field: 'state',
          type: 'nominal',
          scale: { domain: Object.values(STATES), range: ['circle', 'diamond'] },
          legend: { symbolStrokeWidth: 1.6, ...filledWhere(STATES.drift, theme) },
        },
        fill: { condition: { test: { field: 'state', equal: STATES.drift }, value: color }, value: theme.paper },
      },
    },
  ];
}

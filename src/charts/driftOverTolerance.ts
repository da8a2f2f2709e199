import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult, Verdict } from '../review/judgedResult';
import { measure, milli, rounded, SIDES, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { earlierDrift } from './earlierDrift';
import { curveOf, hardening, leadingSetting, sameSetting, settingsOf, uncertaintyShare } from './pointSets';
import { selectionParams, selectionRing } from './selection';
import { sidePanels } from './sidePanels';
import type { ChartTheme } from './theme';
import { verdictLabel, verdictPoints } from './verdictMarks';

export interface DriftChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  /** Height of one of the two panels. */
  readonly height?: number;
  /** Setting whose curve is drawn; that of the worst point where absent. */
  readonly setting?: Setting;
  /** Row that a point stands for, where points can be chosen: see selection.ts. */
  readonly rowOf?: (point: JudgedPoint) => number;
  /** Points as they were judged before, drawn behind the curve. */
  readonly before?: readonly JudgedPoint[];
}

/** Past this many tolerances the axis ends and a point is drawn at its edge, so that one gross point does not flatten the rest. */
const FARTHEST = 6;

/**
 * Drift over tolerance against peak velocity, harder upwards, a panel a side: the band lies between -1 and 1, bars are the
 * expanded uncertainty, the shape of a point is its verdict. Behind it the range over all other settings, and those of their points that are not inside.
 * Undefined where no point has both drift and tolerance.
 */
export function driftOverTolerance(result: JudgedResult, options: DriftChartOptions): ChartSpec | undefined {
  const judged = result.points.filter((point) => hardening(point) !== undefined);
  const setting = options.setting ?? leadingSetting(result);
  if (judged.length === 0 || setting === undefined) return undefined;
  const present = new Set<Verdict>(judged.map((point) => point.verdict));
  const before = (options.before ?? []).filter(
    (point) => hardening(point) !== undefined && sameSetting(point.setting, setting),
  );
  const yDomain = domainOf([...judged, ...before], setting);
  const panels = sidePanels({
    theme: options.theme,
    width: options.width ?? 600,
    height: options.height ?? 120,
    yTitle: ['drift /', 'tolerance'],
    yDomain,
    velocities: [...judged, ...before].map((point) => milli(point.velocity)),
    edges: ['harder', 'softer'],
    layers: (side, x) => [
      ...toleranceLayers(options.theme),
      ...otherSettings(judged, setting, side, x, yDomain, options.theme, present),
      ...earlierDrift(before, setting, side, x, yDomain, options.theme),
      ...leadingCurve(judged, setting, side, x, yDomain, options, present),
    ],
  });
  return options.rowOf === undefined ? panels : { ...panels, ...selectionParams() };
}

function domainOf(points: readonly JudgedPoint[], setting: Setting): readonly [number, number] {
  const reach = points.flatMap((point) => {
    const at = hardening(point) ?? 0;
    const bar = sameSetting(point.setting, setting) ? uncertaintyShare(point) : 0;
    return [at - bar, at + bar];
  });
  const low = Math.max(-FARTHEST, Math.min(-1.25, ...reach.map((r) => r * 1.08)));
  const high = Math.min(FARTHEST, Math.max(1.25, ...reach.map((r) => r * 1.08)));
  return [rounded(low), rounded(high)];
}

function toleranceLayers(theme: ChartTheme): Json[] {
  return [
    {
      data: { values: [{ from: -1, to: 1 }] },
      mark: { type: 'rect', color: theme.band, opacity: 1 },
      encoding: { y: measure('from'), y2: { field: 'to' } },
    },
    {
      data: { values: [{ limit: -1 }, { limit: 1 }] },
      mark: { type: 'rule', color: theme.edge, strokeDash: [5, 3] },
      encoding: { y: measure('limit') },
    },
    { data: { values: [{ zero: 0 }] }, mark: { type: 'rule', color: theme.edge }, encoding: { y: measure('zero') } },
  ];
}

interface DriftRow {
  readonly [key: string]: Json;
}

function rowOf(point: JudgedPoint, [low, high]: readonly [number, number]): DriftRow {
  const at = hardening(point) ?? 0;
  const bar = uncertaintyShare(point);
  const held = (value: number): number => rounded(Math.min(high, Math.max(low, value)));
  return {
    velocity: milli(point.velocity),
    drift: held(at),
    low: held(at - bar),
    high: held(at + bar),
    state: verdictLabel(point.verdict),
  };
}

function leadingCurve(
  points: readonly JudgedPoint[],
  setting: Setting,
  side: Side,
  x: JsonObject,
  domain: readonly [number, number],
  { theme, rowOf: lineOf }: DriftChartOptions,
  present: ReadonlySet<Verdict>,
): Json[] {
  const values = curveOf(points, setting, side).map((point): DriftRow => ({
    ...rowOf(point, domain),
    ...(lineOf !== undefined && { row: lineOf(point) }),
  }));
  if (values.length === 0) return [];
  const y = measure('drift');
  const bars: Json = {
    mark: { type: 'rule', color: theme.ink, strokeWidth: 1.2 },
    encoding: { x, y: measure('low'), y2: { field: 'high' } },
  };
  return [
    {
      data: { values },
      layer: [
        { mark: { type: 'line', color: theme[side], strokeWidth: 1.6 }, encoding: { x, y } },
        ...(values.some((row) => row['low'] !== row['high']) ? [bars] : []),
        verdictPoints(theme, theme[side], { x, y }, present),
        ...(lineOf === undefined ? [] : [selectionRing(theme, { x, y })]),
      ],
    },
  ];
}

/** Range over the settings that are not drawn, and of their points those that are not inside. */
function otherSettings(
  points: readonly JudgedPoint[],
  setting: Setting,
  side: Side,
  x: JsonObject,
  domain: readonly [number, number],
  theme: ChartTheme,
  present: ReadonlySet<Verdict>,
): Json[] {
  const others = points.filter((point) => point.side === side && !sameSetting(point.setting, setting));
  if (settingsOf(others).length < 2)
    return others.length === 0 ? [] : [marksOf(others, x, domain, theme, side, present)];
  const range = new Map<number, [number, number]>();
  for (const row of others.map((point) => rowOf(point, domain))) {
    const velocity = Number(row['velocity']);
    const drift = Number(row['drift']);
    const [low, high] = range.get(velocity) ?? [drift, drift];
    range.set(velocity, [Math.min(low, drift), Math.max(high, drift)]);
  }
  const values = [...range].sort(([a], [b]) => a - b).map(([velocity, [low, high]]) => ({ velocity, low, high }));
  return [
    {
      data: { values },
      mark: { type: 'area', color: theme[side], opacity: 0.18, line: false },
      encoding: { x, y: measure('low'), y2: { field: 'high' } },
    },
    marksOf(others, x, domain, theme, side, present),
  ];
}

function marksOf(
  points: readonly JudgedPoint[],
  x: JsonObject,
  domain: readonly [number, number],
  theme: ChartTheme,
  side: Side,
  present: ReadonlySet<Verdict>,
): Json {
  const values = points.filter((point) => point.verdict !== 'pass').map((point) => rowOf(point, domain));
  return { data: { values }, layer: [verdictPoints(theme, theme[side], { x, y: measure('drift') }, present)] };
}

/** Sides that have at least one judged point, for captions. */
export function judgedSides(result: JudgedResult): readonly Side[] {
  return SIDES.filter((side) => result.points.some((point) => point.side === side && hardening(point) !== undefined));
}

import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';
import type { JudgedPoint, JudgedResult, Verdict } from '../review/judgedResult';
import { cavitationLine } from './cavitationLine';
import { measure, milli, rounded, SCHEMA, SIDES, SIGN, type ChartSpec, type Json, type JsonObject } from './chartSpec';
import { curveOf, leadingSetting, sameSetting, settingsOf } from './pointSets';
import { selectionParams, selectionRing } from './selection';
import { sideName } from './sideName';
import { REFERENCE_DASH, themeConfig, type ChartTheme } from './theme';
import { verdictLabel, verdictPoints } from './verdictMarks';

export interface ForceChartOptions {
  readonly theme: ChartTheme;
  readonly width?: number;
  readonly height?: number;
  /** Setting that is drawn in full; that of the worst point where absent. */
  readonly setting?: Setting;
  /** Damping force (the constant force taken off) or what the load cell read. */
  readonly force?: 'damping' | 'load cell';
  /** Unsigned: both sides start at zero and open to the right. Signed: compression to the right, rebound to the left. */
  readonly velocity?: 'signed' | 'unsigned';
  /** Thin curves of every other setting behind it. */
  readonly others?: boolean;
  /** Row that a point stands for, where points can be chosen: see selection.ts. */
  readonly rowOf?: (point: JudgedPoint) => number;
}

/**
 * Force over peak velocity at one setting, compression above the axis and rebound below it: measured points with the verdict
 * as their shape, the reference dashed, the tolerance band around it. Undefined where the setting has no force of that kind.
 */
export function forceVelocity(result: JudgedResult, options: ForceChartOptions): ChartSpec | undefined {
  const setting = options.setting ?? leadingSetting(result);
  if (setting === undefined) return undefined;
  const kind = options.force ?? 'damping';
  const drawn = SIDES.map((side) => ({
    side,
    rows: rowsOf(curveOf(result.points, setting, side), side, options, kind),
  }));
  if (drawn.every(({ rows }) => rows.length === 0)) return undefined;
  const present = new Set<Verdict>(
    SIDES.flatMap((side) => curveOf(result.points, setting, side).map((p) => p.verdict)),
  );
  const { theme } = options;
  const encodings = axes(options, kind);
  return {
    $schema: SCHEMA,
    ...(options.rowOf !== undefined && selectionParams()),
    width: options.width ?? 600,
    height: options.height ?? 260,
    layer: [
      ...drawn.flatMap(({ rows }) => bandLayers(rows, encodings, theme)),
      zeroLine(theme),
      ...cavitationLine(
        curveOf(result.points, setting, 'compression'),
        encodings,
        theme,
        (point) => velocityOf(point.achieved, 'compression', options),
        (point) => (kind === 'damping' ? 0 : point.force - point.damping!),
      ),
      ...(options.others === true ? otherCurves(result, setting, options, kind, encodings) : []),
      ...drawn.flatMap(({ side, rows }) => curveLayers(rows, side, encodings, options, present)),
      ...drawn.flatMap(({ side, rows }) => sideName(rows.at(-1), side, encodings, theme, options.velocity)),
    ],
    config: themeConfig(theme),
  };
}

type ForceKind = NonNullable<ForceChartOptions['force']>;
type ForceRow = JsonObject;

function rowsOf(points: readonly JudgedPoint[], side: Side, options: ForceChartOptions, kind: ForceKind): ForceRow[] {
  return points.flatMap((point) => {
    const offset = kind === 'damping' ? 0 : point.force - (point.damping ?? NaN);
    const force = kind === 'damping' ? point.damping : point.force;
    if (force === undefined || !Number.isFinite(force)) return [];
    const reference = point.reference === undefined ? NaN : point.reference + offset;
    const zone = point.zone ?? { harder: point.tolerance, softer: point.tolerance };
    const edge = (limit: number | undefined, sign: number): number => reference + sign * SIGN[side] * (limit ?? NaN);
    return [
      Object.fromEntries(
        Object.entries({
          velocity: velocityOf(point.achieved, side, options),
          force: rounded(force),
          reference: rounded(reference),
          harder: rounded(edge(zone.harder, 1)),
          softer: rounded(edge(zone.softer, -1)),
          state: verdictLabel(point.verdict),
          row: options.rowOf?.(point) ?? NaN,
        }).filter(([, value]) => typeof value === 'string' || Number.isFinite(value)),
      ),
    ];
  });
}

function velocityOf(speed: number, side: Side, options: ForceChartOptions): number {
  return (options.velocity === 'signed' ? SIGN[side] : 1) * milli(speed);
}

interface Axes {
  readonly x: JsonObject;
  readonly y: JsonObject;
}

function axes(options: ForceChartOptions, kind: ForceKind): Axes {
  const y = kind === 'damping' ? 'damping force [N]' : 'load cell force [N]';
  return {
    x: measure('velocity', {
      scale: { zero: true, nice: options.velocity === 'signed' },
      axis: {
        title: `peak velocity [mm/s]${options.velocity === 'signed' ? ', compression positive' : ''}`,
        grid: true,
        tickCount: 8,
      },
    }),
    y: measure('force', { scale: { zero: true, nice: true }, axis: { title: y, grid: true, tickCount: 6 } }),
  };
}

function zeroLine(theme: ChartTheme): Json {
  return {
    data: { values: [{ force: 0 }] },
    mark: { type: 'rule', color: theme.edge },
    encoding: { y: measure('force') },
  };
}

function bandLayers(rows: readonly ForceRow[], { x, y }: Axes, theme: ChartTheme): Json[] {
  const values = rows.filter((row) => row['harder'] !== undefined && row['softer'] !== undefined);
  if (values.length < 2) return [];
  const edge = (field: string): Json => ({
    mark: { type: 'line', interpolate: 'monotone', color: theme.edge, strokeWidth: 0.8 },
    encoding: { x, y: { ...y, field } },
  });
  return [
    {
      data: { values },
      layer: [
        {
          mark: { type: 'area', interpolate: 'monotone', color: theme.band, opacity: 1, line: false },
          encoding: { x, y: { ...y, field: 'harder' }, y2: { field: 'softer' } },
        },
        edge('harder'),
        edge('softer'),
      ],
    },
  ];
}

function curveLayers(
  rows: readonly ForceRow[],
  side: Side,
  { x, y }: Axes,
  { theme, rowOf }: ForceChartOptions,
  present: ReadonlySet<Verdict>,
): Json[] {
  if (rows.length === 0) return [];
  const reference: Json = {
    mark: {
      type: 'line',
      interpolate: 'monotone',
      color: theme.reference,
      strokeDash: REFERENCE_DASH,
      strokeWidth: 1.3,
    },
    encoding: { x, y: { ...y, field: 'reference' } },
  };
  return [
    {
      data: { values: rows },
      layer: [
        ...(rows.some((row) => row['reference'] !== undefined) ? [reference] : []),
        { mark: { type: 'line', interpolate: 'monotone', color: theme[side], strokeWidth: 1.8 }, encoding: { x, y } },
        verdictPoints(theme, theme[side], { x, y }, present),
        ...(rowOf === undefined ? [] : [selectionRing(theme, { x, y })]),
      ],
    },
  ];
}

function otherCurves(
  result: JudgedResult,
  setting: Setting,
  options: ForceChartOptions,
  kind: ForceKind,
  { x, y }: Axes,
): Json[] {
  const others = settingsOf(result.points).filter((other) => !sameSetting(other, setting));
  return SIDES.map((side) => ({
    data: {
      values: others.flatMap((other, curve) =>
        rowsOf(curveOf(result.points, other, side), side, options, kind).map(({ velocity, force }) => ({
          velocity: velocity!,
          force: force!,
          curve,
        })),
      ),
    },
    mark: { type: 'line', interpolate: 'monotone', color: options.theme[side], strokeWidth: 0.7, opacity: 0.55 },
    encoding: { x, y, detail: { field: 'curve', type: 'nominal' } },
  }));
}

import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import { interpolatePchip } from '../analysis/statistics/pchip';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { speedMargin } from './plannedVelocity';

/** Damping force of a reference at a speed. */
export interface ReferenceForce {
  /** [N], signed as force. */
  readonly damping: number;
  /** Standard uncertainty that reading beyond the curve's end adds [N]; 0 inside the curve. */
  readonly extrapolationU: number;
}

export type ReferenceAnswer =
  | { readonly kind: 'known'; readonly force: ReferenceForce }
  | { readonly kind: 'no setting' }
  | { readonly kind: 'no constant force' }
  | { readonly kind: 'out of range'; readonly from: number; readonly to: number };

interface Curve {
  readonly speeds: readonly number[];
  at(speed: number): ReferenceForce;
}

/** A fall smaller than this [N, share of force] is scatter of the tests that the reference was adopted from. */
const LEAST_FALL = 3;
const LEAST_FALL_RELATIVE = 0.01;

/** Share of the end's slope that an extrapolation may be wrong by, where the curve itself bends less. */
const SLOPE_DOUBT = 0.25;

/** Damping force over speed of both sides at one setting. */
export interface SettingCurves {
  /** @param speed achieved, unsigned [m/s] */
  force(side: Side, speed: number): ReferenceAnswer;
}

/**
 * Damping force over speed of every setting and side of a table: monotone cubic (PCHIP) through its rows, first pass only; beyond its ends by at
 * most 3 % of the end's speed or 5 mm/s along the end's slope.
 */
export class ReferenceCurves {
  private readonly rows: ReadonlyMap<string, readonly ForceRow[]>;
  private readonly known = new Map<string, SettingCurves>();

  constructor(private readonly table: ForceTable) {
    this.rows = rowsBySetting(table);
  }

  /** @param setting must name the table's adjusters, no more and no fewer; else no setting is found. */
  at(setting: Setting): SettingCurves {
    const key = settingKey(setting);
    let curves = this.known.get(key);
    if (curves === undefined) {
      curves = curvesOfSetting(this.table, this.rows.get(key) ?? []);
      this.known.set(key, curves);
    }
    return curves;
  }
}

function curvesOfSetting(table: ForceTable, rows: readonly ForceRow[]): SettingCurves {
  const gasKnown = rows.some((row) => constantForceOf(table, row) !== undefined);
  const curves = { compression: buildCurve(table, rows, 'compression'), rebound: buildCurve(table, rows, 'rebound') };
  return {
    force(side, speed) {
      if (rows.length > 0 && !gasKnown) return { kind: 'no constant force' };
      const curve = curves[side];
      if (curve === undefined) return { kind: 'no setting' };
      const from = curve.speeds[0]!;
      const to = curve.speeds.at(-1)!;
      if (speed < from - speedMargin(from) || speed > to + speedMargin(to)) return { kind: 'out of range', from, to };
      return { kind: 'known', force: curve.at(speed) };
    },
  };
}

const built = new WeakMap<ForceTable, ReferenceCurves>();

/** Curves of a table, built once for all results that are held against it. */
export function curvesOf(table: ForceTable): ReferenceCurves {
  const known = built.get(table);
  if (known !== undefined) return known;
  const curves = new ReferenceCurves(table);
  built.set(table, curves);
  return curves;
}

/** One name for a setting whatever the order of its adjusters. */
export function settingKey(setting: Setting): string {
  return Object.keys(setting)
    .sort()
    .map((id) => `${id}=${setting[id]!}`)
    .join('\n');
}

/** Setting of a row by adjuster id; positions that are not known are left out. */
export function settingOfRow(table: ForceTable, row: ForceRow): Setting {
  const setting: Record<string, number> = {};
  table.adjusters.forEach(({ id }, i) => {
    const position = row.setting[i];
    if (position === undefined || Number.isNaN(position)) return;
    Object.defineProperty(setting, id, { value: position, enumerable: true, configurable: true, writable: true });
  });
  return setting;
}

/** Constant force that is taken off to give damping force [N]. */
export function constantForceOf(table: ForceTable, row: ForceRow): number | undefined {
  const force = row.gas ?? table.gas?.force;
  return force === undefined || Number.isNaN(force) ? undefined : force;
}

/** Peak speed of one side of a row: achieved where it was measured, else the planned one [m/s]. */
export function speedOfRow(row: ForceRow, side: Side): number {
  const achieved = row.measured?.[`${side}Velocity`];
  return achieved === undefined || Number.isNaN(achieved) ? row.velocity : achieved;
}

function rowsBySetting(table: ForceTable): ReadonlyMap<string, readonly ForceRow[]> {
  const groups = new Map<string, ForceRow[]>();
  for (const row of table.rows) {
    if (row.pass !== 1) continue;
    const key = settingKey(settingOfRow(table, row));
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [row]);
    else group.push(row);
  }
  return groups;
}

function buildCurve(table: ForceTable, rows: readonly ForceRow[], side: Side): Curve | undefined {
  const points = rows
    .flatMap((row) => {
      const gas = constantForceOf(table, row);
      return gas === undefined || Number.isNaN(row[side])
        ? []
        : [{ speed: speedOfRow(row, side), damping: row[side] - gas }];
    })
    .sort((a, b) => a.speed - b.speed)
    .filter((point, i, all) => i === 0 || point.speed > all[i - 1]!.speed); // a repeated row is reported, and its first one counts
  const first = points[0];
  if (first === undefined) return undefined;
  const speeds = points.map((p) => p.speed);
  if (points.length === 1) return { speeds, at: (speed) => proportional(first, speed) };
  const curve = interpolatePchip(
    speeds,
    points.map((p) => p.damping),
  );
  const last = points.at(-1)!;
  const lowSlope = chord(points[0]!, points[1]!);
  const highSlope = chord(points.at(-2)!, last);
  return {
    speeds,
    at(speed) {
      const { value, slope } = curve(speed);
      const beyond = Math.max(first.speed - speed, speed - last.speed, 0);
      const doubt = Math.max(
        Math.abs(slope - (speed < first.speed ? lowSlope : highSlope)),
        SLOPE_DOUBT * Math.abs(slope),
      );
      return { damping: value, extrapolationU: rectangular(beyond * doubt) };
    },
  };
}

/** A curve of one point has no slope of its own: force in proportion to speed, the whole correction in doubt. */
function proportional(point: { readonly speed: number; readonly damping: number }, speed: number): ReferenceForce {
  const change = (point.damping / point.speed) * (speed - point.speed);
  return { damping: point.damping + change, extrapolationU: rectangular(Math.abs(change)) };
}

/** Standard uncertainty of a quantity known to lie within +- `halfWidth` (JCGM 100:2008, 4.3.7). */
function rectangular(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

function chord(
  a: { readonly speed: number; readonly damping: number },
  b: { readonly speed: number; readonly damping: number },
): number {
  return (b.damping - a.damping) / (b.speed - a.speed);
}

/** Adjusters of which only one of two tables knows, and those whose unit differs. */
export function adjusterDifferences(
  measured: ForceTable,
  reference: ForceTable,
): {
  readonly onlyMeasured: readonly string[];
  readonly onlyReference: readonly string[];
  readonly otherUnit: readonly string[];
} {
  const ofMeasured = new Map(measured.adjusters.map((a) => [a.id, a.unit]));
  const ofReference = new Map(reference.adjusters.map((a) => [a.id, a.unit]));
  return {
    onlyMeasured: [...ofMeasured.keys()].filter((id) => !ofReference.has(id)),
    onlyReference: [...ofReference.keys()].filter((id) => !ofMeasured.has(id)),
    otherUnit: [...ofMeasured].filter(([id, unit]) => (ofReference.get(id) ?? unit) !== unit).map(([id]) => id),
  };
}

/** Whether force of a reference falls in magnitude as speed rises, per setting and side: the first row where it does. */
export function fallingRows(
  table: ForceTable,
): readonly { readonly row: ForceRow; readonly before: ForceRow; readonly side: Side; readonly fall: number }[] {
  const sign = { compression: 1, rebound: -1 } as const;
  return [...rowsBySetting(table).values()].flatMap((rows) =>
    SIDES.flatMap((side) => {
      const sorted = rows
        .filter((row) => !Number.isNaN(row[side]))
        .sort((a, b) => speedOfRow(a, side) - speedOfRow(b, side));
      for (let i = 1; i < sorted.length; i++) {
        const before = sorted[i - 1]!;
        const fall = sign[side] * (damping(table, before, side) - damping(table, sorted[i]!, side));
        if (fall > Math.max(LEAST_FALL, LEAST_FALL_RELATIVE * Math.abs(damping(table, before, side))))
          return [{ row: sorted[i]!, before, side, fall }];
      }
      return [];
    }),
  );
}

function damping(table: ForceTable, row: ForceRow, side: Side): number {
  return row[side] - (constantForceOf(table, row) ?? 0);
}

import type { Side } from '../analysis/side';
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
  /** Its ends [m/s]. */
  readonly from: number;
  readonly to: number;
  at(speed: number): ReferenceForce;
}

/** Share of the end's slope that an extrapolation may be wrong by, where the curve itself bends less. */
const SLOPE_DOUBT = 0.25;

/** Damping force over speed of both sides at one setting. */
export interface SettingCurves {
  /** @param speed achieved, unsigned [m/s] */
  force(side: Side, speed: number): ReferenceAnswer;
  /** The damping force alone [N]; NaN where it is not known. */
  damping(side: Side, speed: number): number;
}

/**
 * Damping force over speed of every setting and side of a table: monotone cubic (PCHIP) through its rows, first pass only; beyond its ends by at
 * most 3 % of the end's speed or 5 mm/s along the end's slope.
 */
export class ReferenceCurves {
  private readonly rows: ReadonlyMap<string, readonly ForceRow[]>;
  private readonly known = new Map<string, SettingCurves>();

  constructor(private readonly table: ForceTable) {
    this.rows = firstPassBySetting(table);
  }

  /** @param setting must name the table's adjusters, no more and no fewer; else no setting is found. */
  at(setting: Setting): SettingCurves {
    return this.atKey(settingKey(setting));
  }

  /** @param key `settingKey` of the setting */
  atKey(key: string): SettingCurves {
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
  const compression = buildCurve(table, rows, 'compression');
  const rebound = buildCurve(table, rows, 'rebound');
  const read = (side: Side, speed: number): ReferenceForce | Exclude<ReferenceAnswer, { kind: 'known' }> => {
    if (rows.length > 0 && !gasKnown) return NO_CONSTANT_FORCE;
    const curve = side === 'compression' ? compression : rebound;
    if (curve === undefined) return NO_SETTING;
    const { from, to } = curve;
    if (speed < from - speedMargin(from) || speed > to + speedMargin(to)) return { kind: 'out of range', from, to };
    return curve.at(speed);
  };
  return {
    force(side, speed) {
      const found = read(side, speed);
      return 'kind' in found ? found : { kind: 'known', force: found };
    },
    damping(side, speed) {
      const found = read(side, speed);
      return 'kind' in found ? NaN : found.damping;
    },
  };
}

const NO_CONSTANT_FORCE = { kind: 'no constant force' } as const;
const NO_SETTING = { kind: 'no setting' } as const;

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
  let key = keys.get(setting);
  if (key === undefined) keys.set(setting, (key = keyOf(setting)));
  return key;
}

/** Kept, as all points of one setting share the object, and every pairing asks for it again. */
const keys = new WeakMap<Setting, string>();

function keyOf(setting: Setting): string {
  const ids = Object.keys(setting);
  if (ids.length === 1) return `${ids[0]!}=${setting[ids[0]!]!}`;
  return ids
    .sort()
    .map((id) => `${id}=${setting[id]!}`)
    .join('\n');
}

/** Setting of a row by adjuster id; positions that are not known are left out. */
export function settingOfRow(table: ForceTable, row: ForceRow): Setting {
  const setting: Record<string, number> = {};
  for (let i = 0; i < table.adjusters.length; i++) {
    const position = row.setting[i];
    if (position === undefined || Number.isNaN(position)) continue;
    const { id } = table.adjusters[i]!;
    // Ids come from files: this one would set the prototype.
    if (id === '__proto__')
      Object.defineProperty(setting, id, { value: position, enumerable: true, configurable: true, writable: true });
    else setting[id] = position;
  }
  return setting;
}

/** Rows of a table that share one setting. */
export interface SettingRows {
  readonly setting: Setting;
  /** `settingKey` of it. */
  readonly key: string;
  readonly rows: readonly ForceRow[];
}

/** Settings of a table in the order of their first rows. */
export interface TableSettings {
  readonly all: readonly SettingRows[];
  /** One a row of the table. */
  readonly ofRows: readonly SettingRows[];
}

const settings = new WeakMap<ForceTable, TableSettings>();

/** Settings of a table and which row has which, found once a table: points, plan, sweeps, curves and comparisons all ask for them. */
export function settingsOfTable(table: ForceTable): TableSettings {
  let found = settings.get(table);
  if (found === undefined) settings.set(table, (found = findSettings(table)));
  return found;
}

function findSettings(table: ForceTable): TableSettings {
  const groups = new Map<string, SettingRows & { readonly rows: ForceRow[] }>();
  const ofRows: SettingRows[] = [];
  let before: ForceRow | undefined;
  let group: (SettingRows & { readonly rows: ForceRow[] }) | undefined;
  for (const row of table.rows) {
    // Rows of one setting stand together as a rule, so that a name is made of a setting once.
    if (group === undefined || !isSamePlace(row.setting, before!.setting, table.adjusters.length)) {
      const setting = settingOfRow(table, row);
      const key = settingKey(setting);
      group = groups.get(key);
      if (group === undefined) groups.set(key, (group = { setting, key, rows: [] }));
    }
    group.rows.push(row);
    ofRows.push(group);
    before = row;
  }
  return { all: [...groups.values()], ofRows };
}

function isSamePlace(a: readonly number[], b: readonly number[], adjusters: number): boolean {
  if (a === b) return true;
  for (let i = 0; i < adjusters; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** Constant force that is taken off to give damping force [N]. */
export function constantForceOf(table: ForceTable, row: ForceRow): number | undefined {
  const force = row.gas ?? table.gas?.force;
  return force === undefined || Number.isNaN(force) ? undefined : force;
}

/** Peak speed of one side of a row: achieved where it was measured, else the planned one [m/s]. */
export function speedOfRow(row: ForceRow, side: Side): number {
  const achieved = side === 'compression' ? row.measured?.compressionVelocity : row.measured?.reboundVelocity;
  return achieved === undefined || Number.isNaN(achieved) ? row.velocity : achieved;
}

function firstPassBySetting(table: ForceTable): ReadonlyMap<string, readonly ForceRow[]> {
  const groups = new Map<string, readonly ForceRow[]>();
  for (const { key, rows } of settingsOfTable(table).all) {
    const first = rows.every(isFirstPass) ? rows : rows.filter(isFirstPass);
    if (first.length > 0) groups.set(key, first);
  }
  return groups;
}

function isFirstPass(row: ForceRow): boolean {
  return row.pass === 1;
}

function buildCurve(table: ForceTable, rows: readonly ForceRow[], side: Side): Curve | undefined {
  const points: { readonly speed: number; readonly damping: number }[] = [];
  for (const row of rows) {
    const gas = constantForceOf(table, row);
    if (gas !== undefined && !Number.isNaN(row[side]))
      points.push({ speed: speedOfRow(row, side), damping: row[side] - gas });
  }
  points.sort((a, b) => a.speed - b.speed);
  const speeds: number[] = [];
  const dampings: number[] = [];
  for (const { speed, damping } of points) {
    if (speeds.length > 0 && !(speed > speeds.at(-1)!)) continue; // a repeated row is reported, and its first one counts
    speeds.push(speed);
    dampings.push(damping);
  }
  const n = speeds.length;
  if (n === 0) return undefined;
  const from = speeds[0]!;
  const to = speeds[n - 1]!;
  if (n === 1) return { from, to, at: (speed) => proportional({ speed: from, damping: dampings[0]! }, speed) };
  const curve = interpolatePchip(speeds, dampings);
  const lowSlope = (dampings[1]! - dampings[0]!) / (speeds[1]! - from);
  const highSlope = (dampings[n - 1]! - dampings[n - 2]!) / (to - speeds[n - 2]!);
  return {
    from,
    to,
    at(speed) {
      const { value, slope } = curve(speed);
      const beyond = Math.max(from - speed, speed - to, 0);
      if (beyond === 0) return { damping: value, extrapolationU: 0 };
      const doubt = Math.max(Math.abs(slope - (speed < from ? lowSlope : highSlope)), SLOPE_DOUBT * Math.abs(slope));
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

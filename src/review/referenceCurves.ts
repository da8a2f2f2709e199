import type { Side } from '../analysis/side';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { DampingCurve } from './dampingCurve';

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

/** Damping force over speed of both sides at one setting. */
export class SettingCurves {
  /** False where no row there has a constant force to take off. */
  readonly isGasKnown: boolean;
  private readonly compression: DampingCurve | undefined;
  private readonly rebound: DampingCurve | undefined;

  constructor(table: ForceTable, rows: readonly ForceRow[]) {
    this.isGasKnown = rows.length === 0 || rows.some((row) => constantForceOf(table, row) !== undefined);
    this.compression = buildCurve(table, rows, 'compression');
    this.rebound = buildCurve(table, rows, 'rebound');
  }

  /** Undefined where the table has no force of that side at the setting. */
  of(side: Side): DampingCurve | undefined {
    return side === 'compression' ? this.compression : this.rebound;
  }

  /** @param speed achieved, unsigned [m/s] */
  force(side: Side, speed: number): ReferenceAnswer {
    if (!this.isGasKnown) return { kind: 'no constant force' };
    const curve = this.of(side);
    if (curve === undefined) return { kind: 'no setting' };
    if (!curve.reaches(speed)) return { kind: 'out of range', from: curve.from, to: curve.to };
    return { kind: 'known', force: { damping: curve.damping(speed), extrapolationU: curve.extrapolationU(speed) } };
  }

  /** The damping force alone [N]; NaN where it is not known. */
  damping(side: Side, speed: number): number {
    const curve = this.of(side);
    return this.isGasKnown && curve !== undefined && curve.reaches(speed) ? curve.damping(speed) : NaN;
  }
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
      curves = new SettingCurves(this.table, this.rows.get(key) ?? []);
      this.known.set(key, curves);
    }
    return curves;
  }
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
      const key = keyOf(setting);
      group = groups.get(key);
      if (group === undefined) groups.set(key, (group = { setting, key, rows: [] }));
    }
    group.rows.push(row);
    ofRows.push(group);
    before = row;
  }
  return { all: [...groups.values()], ofRows };
}

/** The rows of one setting; undefined where there are none. */
export function rowsAt(table: ForceTable, setting: Setting): SettingRows | undefined {
  const { all } = settingsOfTable(table);
  // It is the setting of these rows themselves as a rule.
  return all.find((one) => one.setting === setting) ?? all.find(({ key }) => key === settingKey(setting));
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

/**
 * Curve of one side through the rows of one setting, for who reads it once: those of `curvesOf` stay as long as their table does.
 * @returns undefined where no row has a force and a constant one to take off
 */
export function curveOfRows(table: ForceTable, rows: readonly ForceRow[], side: Side): DampingCurve | undefined {
  return buildCurve(table, rows.filter(isFirstPass), side);
}

function buildCurve(table: ForceTable, rows: readonly ForceRow[], side: Side): DampingCurve | undefined {
  const { speeds, dampings } = risingPoints(table, rows, side);
  return speeds.length === 0 ? undefined : new DampingCurve(speeds, dampings);
}

/** What a curve goes through, by rising speed; a repeated row is reported, and its first one counts. */
function risingPoints(
  table: ForceTable,
  rows: readonly ForceRow[],
  side: Side,
): { readonly speeds: readonly number[]; readonly dampings: readonly number[] } {
  const speeds: number[] = [];
  const dampings: number[] = [];
  let rising = true;
  for (const row of rows) {
    const gas = constantForceOf(table, row);
    if (gas === undefined || Number.isNaN(row[side])) continue;
    const speed = speedOfRow(row, side);
    rising &&= speeds.length === 0 || speed > speeds.at(-1)!;
    speeds.push(speed);
    dampings.push(row[side] - gas);
  }
  if (rising) return { speeds, dampings };
  const order = speeds.map((_, i) => i).sort((a, b) => speeds[a]! - speeds[b]!);
  const kept = order.filter((own, i) => i === 0 || speeds[own]! > speeds[order[i - 1]!]!);
  return { speeds: kept.map((i) => speeds[i]!), dampings: kept.map((i) => dampings[i]!) };
}

/** Adjusters of which only one of two tables knows, and those whose unit differs. */
export interface AdjusterDifferences {
  readonly onlyMeasured: readonly string[];
  readonly onlyReference: readonly string[];
  readonly otherUnit: readonly string[];
}

export function adjusterDifferences(measured: ForceTable, reference: ForceTable): AdjusterDifferences {
  if (areAlike(measured, reference)) return ALIKE;
  const ofMeasured = new Map(measured.adjusters.map((a) => [a.id, a.unit]));
  const ofReference = new Map(reference.adjusters.map((a) => [a.id, a.unit]));
  return {
    onlyMeasured: [...ofMeasured.keys()].filter((id) => !ofReference.has(id)),
    onlyReference: [...ofReference.keys()].filter((id) => !ofMeasured.has(id)),
    otherUnit: [...ofMeasured].filter(([id, unit]) => (ofReference.get(id) ?? unit) !== unit).map(([id]) => id),
  };
}

const ALIKE: AdjusterDifferences = { onlyMeasured: [], onlyReference: [], otherUnit: [] };

/** The same adjusters in the same order, as nearly every result has them. */
function areAlike({ adjusters }: ForceTable, reference: ForceTable): boolean {
  const others = reference.adjusters;
  if (adjusters.length !== others.length) return false;
  for (let i = 0; i < adjusters.length; i++)
    if (adjusters[i]!.id !== others[i]!.id || adjusters[i]!.unit !== others[i]!.unit) return false;
  return true;
}

import { fromSi, parseUnit, toSi } from '../quantities/unit';
import type { Dimension } from '../quantities/unit';
import type { ForceRow, MeasuredRow } from './forceTable';

/**
 * The columns of reference curves and results, and how a number is written in them. Rounding is part of the format:
 * the same result must be the same bytes on every machine (docs/formats.md, "Rounding").
 */
export interface ForceColumn {
  readonly name: string;
  /** Absent for plain numbers, whose header has no unit. */
  readonly dimension?: Dimension;
  /** Unit in which it is written. */
  readonly unit?: string;
  readonly decimals: number;
  /** Whether needless zeros at the end are left off, as a person would write 100 and not 100.00. */
  readonly short?: boolean;
  /** Smallest value that makes sense, SI; with `above` it must be greater. */
  readonly least?: number;
  readonly above?: number;
  readonly whole?: boolean;
  /** Whether a cell may be empty: read as not measured (NaN). */
  readonly mayBeEmpty: boolean;
}

const speed = { dimension: 'velocity', unit: 'mm/s', decimals: 2 } as const;
const force = { dimension: 'force', unit: 'N' } as const;
const spread = { ...force, decimals: 2, least: 0, mayBeEmpty: true } as const;

const PASS: ForceColumn = { name: 'pass', decimals: 0, least: 1, whole: true, mayBeEmpty: false };
const VELOCITY: ForceColumn = { name: 'velocity', ...speed, short: true, above: 0, mayBeEmpty: false };
const COMPRESSION: ForceColumn = { name: 'compression', ...force, decimals: 1, mayBeEmpty: true };
const REBOUND: ForceColumn = { name: 'rebound', ...force, decimals: 1, mayBeEmpty: true };
const GAS: ForceColumn = { name: 'gas', ...force, decimals: 1, mayBeEmpty: true };
const TEMPERATURE: ForceColumn = {
  name: 'temperature',
  dimension: 'temperature',
  unit: 'Cel',
  decimals: 1,
  above: 0,
  mayBeEmpty: true,
};

/** In the order in which they are written, behind the adjuster columns. */
export const POINT_COLUMNS = {
  pass: PASS,
  velocity: VELOCITY,
  compression: COMPRESSION,
  rebound: REBOUND,
  gas: GAS,
  temperature: TEMPERATURE,
} as const satisfies Readonly<Record<string, ForceColumn>>;

/** Columns that only results have, in the order in which they are written. */
export const MEASURED_COLUMNS: Readonly<Record<keyof MeasuredRow, ForceColumn>> = {
  compressionVelocity: { name: 'compressionVelocity', ...speed, least: 0, mayBeEmpty: true },
  reboundVelocity: { name: 'reboundVelocity', ...speed, least: 0, mayBeEmpty: true },
  compressionU: { name: 'compressionU', ...spread },
  reboundU: { name: 'reboundU', ...spread },
  compressionK: { name: 'compressionK', decimals: 3, least: 0, mayBeEmpty: true },
  reboundK: { name: 'reboundK', decimals: 3, least: 0, mayBeEmpty: true },
  compressionDf: { name: 'compressionDf', decimals: 1, least: 0, mayBeEmpty: true },
  reboundDf: { name: 'reboundDf', decimals: 1, least: 0, mayBeEmpty: true },
  cycles: { name: 'cycles', decimals: 0, least: 0, whole: true, mayBeEmpty: false },
  energy: { name: 'energy', dimension: 'energy', unit: 'J', decimals: 3, mayBeEmpty: true },
};

export const REQUIRED_COLUMNS = ['velocity', 'compression', 'rebound'] as const satisfies readonly (keyof ForceRow)[];

const ALL_COLUMNS: ReadonlyMap<string, ForceColumn> = new Map(
  [...Object.values<ForceColumn>(POINT_COLUMNS), ...Object.values(MEASURED_COLUMNS)].map((column) => [
    column.name,
    column,
  ]),
);

export function forceColumn(name: string): ForceColumn | undefined {
  return ALL_COLUMNS.get(name);
}

export function forceColumnNames(): readonly string[] {
  return [...ALL_COLUMNS.keys()];
}

/** More degrees of freedom than this change no quantile; infinity has no cell. */
export const MOST_DEGREES_OF_FREEDOM = 9999;

/** The text of a cell; empty for a value that was not measured. */
export function cellText(column: ForceColumn, value: number): string {
  if (Number.isNaN(value)) return '';
  const unit = column.unit === undefined ? undefined : parseUnit(column.unit)!;
  const isDf = column.name.endsWith('Df');
  const number = unit === undefined ? (isDf ? Math.min(value, MOST_DEGREES_OF_FREEDOM) : value) : fromSi(value, unit);
  const fixed = number.toFixed(column.decimals);
  const text = column.short === true && fixed.includes('.') ? fixed.replace(/\.?0+$/, '') : fixed;
  return /^-[0.]+$/.test(text) ? text.slice(1) : text;
}

/** The number that a reader of {@link cellText} gets. */
export function roundedCell(column: ForceColumn, value: number): number {
  const text = cellText(column, value);
  if (text === '') return NaN;
  return column.unit === undefined ? Number(text) : toSi(Number(text), parseUnit(column.unit)!);
}

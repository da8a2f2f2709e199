import { MEASURED_COLUMNS } from './forceColumns';
import type { ForceRow, MeasuredRow } from './forceTable';

/** What the cells of a row say; NaN and undefined for columns that a table may lack. */
export interface RowCells extends Omit<ForceRow, 'gas' | 'temperature' | 'measured'> {
  readonly gas: number;
  readonly temperature: number;
  readonly measured: MeasuredRow | undefined;
}

/** A row without the columns that are not there. */
export function forceRow(cells: RowCells): ForceRow {
  const { line, setting, pass, velocity, compression, rebound, gas, temperature, measured } = cells;
  // The usual row of a result is made at once: keys that are added later lie in a list of their own.
  if (measured !== undefined && Number.isNaN(gas) && !Number.isNaN(temperature))
    return { line, setting, pass, velocity, compression, rebound, temperature, measured };
  return {
    line,
    setting,
    pass,
    velocity,
    compression,
    rebound,
    ...(!Number.isNaN(gas) && { gas }),
    ...(!Number.isNaN(temperature) && { temperature }),
    ...(measured !== undefined && { measured }),
  };
}

/** A row with all its numbers as an object's own, so that some may be put in the place of others. */
export function copyOfRow(row: ForceRow): ForceRow {
  const { gas = NaN, temperature = NaN, measured } = row;
  return forceRow({
    line: row.line,
    setting: row.setting,
    pass: row.pass,
    velocity: row.velocity,
    compression: row.compression,
    rebound: row.rebound,
    gas,
    temperature,
    measured: measured && copyOfMeasured(measured),
  });
}

function copyOfMeasured(measured: MeasuredRow): MeasuredRow {
  return {
    compressionVelocity: measured.compressionVelocity,
    reboundVelocity: measured.reboundVelocity,
    compressionU: measured.compressionU,
    reboundU: measured.reboundU,
    compressionK: measured.compressionK,
    reboundK: measured.reboundK,
    compressionDf: measured.compressionDf,
    reboundDf: measured.reboundDf,
    cycles: measured.cycles,
    energy: measured.energy,
  };
}

/** Whether rows say the same, wherever they stand and however they were read. */
export function sayTheSame(a: readonly ForceRow[], b: readonly ForceRow[]): boolean {
  return a.length === b.length && a.every((row, i) => rowsAgree(row, b[i]!));
}

function rowsAgree(a: ForceRow, b: ForceRow): boolean {
  const [{ measured }, { measured: other }] = [a, b];
  return (
    ROW_NUMBERS.every((key) => Object.is(a[key], b[key])) &&
    a.setting.length === b.setting.length &&
    a.setting.every((position, i) => Object.is(position, b.setting[i])) &&
    (measured === undefined || other === undefined
      ? measured === other
      : MEASURED_NUMBERS.every((key) => Object.is(measured[key], other[key])))
  );
}

const ROW_NUMBERS = ['pass', 'velocity', 'compression', 'rebound', 'gas', 'temperature'] as const;
const MEASURED_NUMBERS = Object.keys(MEASURED_COLUMNS) as (keyof MeasuredRow)[];

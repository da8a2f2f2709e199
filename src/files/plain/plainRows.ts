import type { ForceRow, MeasuredRow } from '../forceTable';
import { outOfRange } from '../forceTableCells';
import type { TableColumn } from '../forceTableHeader';
import { toSi } from '../../quantities/unit';
import type { TablePlan } from './plainHeader';

const LF = 10;
const CR = 13;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;

/** Powers of ten that a double holds exactly, as does every whole number of up to 15 digits. */
const POWERS = Float64Array.from({ length: 16 }, (_, exponent) => Number(`1e${exponent}`));
const MOST_DIGITS = 15;

/**
 * Reads rows of plain numbers, byte by byte; undefined where anything else stands among them, such as a blank, a quotation mark,
 * an exponent or a value that its column does not allow.
 *
 * @param bytes end in a line feed
 * @param from first byte behind the header row
 * @param line its line
 */
export function readPlainRows(bytes: Uint8Array, from: number, plan: TablePlan, line: number): ForceRow[] | undefined {
  const rows: ForceRow[] = [];
  const cells = new PlainCells(bytes, from, plan);
  while (cells.at < bytes.length) {
    if (!cells.readRow()) return undefined;
    rows.push(rowOf(cells.values, plan, line + rows.length));
  }
  return rows;
}

class PlainCells {
  /** Numbers of the last row, SI. */
  readonly values: Float64Array;

  constructor(
    private readonly bytes: Uint8Array,
    public at: number,
    private readonly plan: TablePlan,
  ) {
    this.values = new Float64Array(plan.columns.length);
  }

  /** Whether the row that begins here is plain. Leaves the place behind its line end. */
  readRow(): boolean {
    const { bytes, values } = this;
    const { columns, delimiter } = this.plan;
    const last = columns.length - 1;
    for (let cell = 0; cell <= last; cell++) {
      const column = columns[cell]!;
      const byte = bytes[this.at];
      if (byte === delimiter || byte === LF || byte === CR) {
        if (column.kind === 'adjuster' || !column.column.mayBeEmpty) return false;
        values[cell] = NaN;
      } else {
        const value = siValue(this.readNumber(), column);
        if (Number.isNaN(value)) return false;
        values[cell] = value;
      }
      if (cell < last && bytes[this.at++] !== delimiter) return false;
    }
    if (bytes[this.at] === CR) this.at++;
    return bytes[this.at++] === LF;
  }

  /**
   * The number that begins here, as Number() reads it, or NaN. Its digits are a whole number below 2^53 over a power of ten,
   * both exact, so that one rounding gives the nearest double (Clinger 1990, "How to read floating point numbers
   * accurately", the fast case).
   */
  private readNumber(): number {
    const { bytes } = this;
    let at = this.at;
    const negative = bytes[at] === MINUS;
    if (negative) at++;
    let number = 0;
    let digits = 0;
    let decimals = 0;
    let digit = bytes[at]! - ZERO;
    for (; digit >= 0 && digit <= 9; digit = bytes[++at]! - ZERO, digits++) number = number * 10 + digit;
    if (bytes[at] === POINT) {
      digit = bytes[++at]! - ZERO;
      for (; digit >= 0 && digit <= 9; digit = bytes[++at]! - ZERO, decimals++) number = number * 10 + digit;
    }
    this.at = at;
    digits += decimals;
    if (digits === 0 || digits > MOST_DIGITS) return NaN;
    const value = number / POWERS[decimals]!;
    return negative ? -value : value;
  }
}

/** NaN also for a value that its column does not allow. */
function siValue(number: number, column: TableColumn): number {
  if (column.kind === 'adjuster') return number;
  const value = column.unit === undefined ? number : toSi(number, column.unit);
  return outOfRange(value, column.column) === undefined ? value : NaN;
}

function rowOf(values: Float64Array, plan: TablePlan, line: number): ForceRow {
  const setting: number[] = [];
  for (const cell of plan.setting) setting.push(values[cell]!);
  const row: { -readonly [Key in keyof ForceRow]: ForceRow[Key] } = {
    line,
    setting,
    pass: plan.pass < 0 ? 1 : values[plan.pass]!,
    velocity: values[plan.velocity]!,
    compression: values[plan.compression]!,
    rebound: values[plan.rebound]!,
  };
  const gas = plan.gas < 0 ? NaN : values[plan.gas]!;
  const temperature = plan.temperature < 0 ? NaN : values[plan.temperature]!;
  if (!Number.isNaN(gas)) row.gas = gas;
  if (!Number.isNaN(temperature)) row.temperature = temperature;
  if (plan.measured !== undefined) row.measured = measuredOf(values, plan.measured);
  return row;
}

/** @param cells in the order of MEASURED_COLUMNS, which is the order here */
function measuredOf(values: Float64Array, cells: readonly number[]): MeasuredRow {
  return {
    compressionVelocity: values[cells[0]!]!,
    reboundVelocity: values[cells[1]!]!,
    compressionU: values[cells[2]!]!,
    reboundU: values[cells[3]!]!,
    compressionK: values[cells[4]!]!,
    reboundK: values[cells[5]!]!,
    compressionDf: values[cells[6]!]!,
    reboundDf: values[cells[7]!]!,
    cycles: values[cells[8]!]!,
    energy: values[cells[9]!]!,
  };
}

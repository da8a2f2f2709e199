import type { ForceRow } from '../forceTable';
import { NumbersOfRows } from './numbersOfRows';
import type { CellPlan, TablePlan } from './plainHeader';

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
  const rows = new NumbersOfRows(plan);
  for (let at = from; at < bytes.length;) {
    at = readPlainRow(bytes, at, plan, rows.next(), rows.from);
    if (at < 0) return undefined;
    rows.end();
  }
  return rows.rows(line);
}

/**
 * Reads the row that begins at a byte. A number is read as Number() reads it: its digits are a whole number below 2^53 over a power of ten,
 * both exact, so that one rounding gives the nearest double (Clinger 1990, "How to read floating point numbers accurately", the fast case).
 *
 * @param numbers SI; written to
 * @param to place of the row's first number
 * @returns the place behind the row's line end, -1 where it is not plain
 */
function readPlainRow(
  bytes: Uint8Array,
  from: number,
  { cells, delimiter }: TablePlan,
  numbers: Float64Array,
  to: number,
): number {
  const last = cells.count - 1;
  let at = from;
  for (let cell = 0; cell <= last; cell++) {
    const isNegative = bytes[at] === MINUS;
    if (isNegative) at++;
    const start = at;
    let number = 0;
    let digit = bytes[at]! - ZERO;
    for (; digit >= 0 && digit <= 9; digit = bytes[++at]! - ZERO) number = number * 10 + digit;
    let digits = at - start;
    let decimals = 0;
    if (bytes[at] === POINT) {
      digit = bytes[++at]! - ZERO;
      for (; digit >= 0 && digit <= 9; digit = bytes[++at]! - ZERO, decimals++) number = number * 10 + digit;
      digits += decimals;
    } else if (digits === 0 && !isNegative && cells.mayBeEmpty[cell] === 1) {
      numbers[to + cells.places[cell]!] = NaN;
      if (cell < last && bytes[at++] !== delimiter) return -1;
      continue;
    }
    if (digits === 0 || digits > MOST_DIGITS) return -1;
    const value = number / POWERS[decimals]!;
    if (!takeValue(cells, cell, isNegative ? -value : value, numbers, to)) return -1;
    if (cell < last && bytes[at++] !== delimiter) return -1;
  }
  if (bytes[at] === CR) at++;
  return bytes[at] === LF ? at + 1 : -1;
}

/** Whether a cell may hold a number; it is written to the row's numbers then, SI. */
function takeValue(cells: CellPlan, cell: number, number: number, numbers: Float64Array, to: number): boolean {
  const divisor = cells.divisors[cell]!;
  const value = (divisor === 0 ? number * cells.factors[cell]! : number / divisor) + cells.offsets[cell]!;
  numbers[to + cells.places[cell]!] = value;
  return (
    value >= cells.least[cell]! && value > cells.above[cell]! && (cells.whole[cell] === 0 || Number.isInteger(value))
  );
}

import type { DecimalMark } from './cellNumber';

/** What the byte path must know of the log's columns. */
export interface RowLayout {
  /** Byte of the delimiter. */
  readonly delimiter: number;
  /** For each cell of a row: which needed column it belongs to, or -1. Needed column 0 is time. */
  readonly targets: readonly number[];
  readonly timeFactor: number;
  readonly timeOffset: number;
}

const LF = 10;
const CR = 13;
const QUOTE = 34;
const HASH = 35;
const PLUS = 43;
const MINUS = 45;
const ZERO = 48;
const POINT = 46;

/** Powers of ten that a double holds exactly. */
const POWERS = Float64Array.from({ length: 23 }, (_, exponent) => Number(`1e${exponent}`));
const EXACT_INTEGERS = 2 ** 53;
/** Far above any reading and far below overflow in any unit: what is larger goes the careful way. */
const LARGEST = 1e100;

/**
 * The fast way through a log: rows of plain numbers, byte by byte, into raw columns. A number of at most 15 digits or so
 * is an integer below 2^53 over (or times) a power of ten up to 1e22; both are exact, so that one rounding gives what
 * Number() gives (Clinger 1990, "How to read floating point numbers accurately", the fast case). Where anything else
 * stands in a row, scanning stops before that row.
 */
export class NumericRows {
  /** Where the last scan stopped: the end, or the start of a row that is not plain. */
  position = 0;
  /** Whether the last scan stopped before a row that is not plain. */
  odd = false;
  /** Time [s] of the row before; each must be later. */
  lastTime = -Infinity;
  /** Byte of the decimal mark; -1 while unknown, so that the first number with a mark is not plain. */
  private mark = -1;
  private tokenEnd = 0;

  constructor(private readonly layout: RowLayout) {}

  setMark(mark: DecimalMark | undefined): void {
    const byte = mark?.charCodeAt(0) ?? -1;
    this.mark = byte === this.layout.delimiter ? -1 : byte; // such a number stands in quotes
  }

  /**
   * Reads rows from `from` until `to`, which is behind a line feed, or until `capacity` rows are there.
   *
   * @param columns raw numbers, column after column, each `capacity` long
   * @returns the number of rows in `columns`, those up to `row` included
   */
  scan(bytes: Uint8Array, from: number, to: number, columns: Float64Array, row: number, capacity: number): number {
    this.position = from;
    const filled = this.scanRows(bytes, from, to, columns, row, capacity);
    this.odd = this.position < to && filled < capacity;
    return filled;
  }

  /**
   * Nothing follows its loop: the engine optimises the loop while it runs, and throws that away when it comes to code behind it that had
   * not run by then.
   */
  private scanRows(
    bytes: Uint8Array,
    from: number,
    to: number,
    columns: Float64Array,
    row: number,
    capacity: number,
  ): number {
    const { delimiter, targets, timeFactor, timeOffset } = this.layout;
    const { mark } = this;
    const lastCell = targets.length - 1;
    let at = from;
    scanning: while (at < to && row < capacity) {
      for (let cell = 0; cell <= lastCell; cell++) {
        let byte = bytes[at]!;
        const target = targets[cell]!;
        if (target < 0) {
          if (byte === QUOTE || (cell === 0 && (byte === HASH || byte === CR || byte === LF))) break scanning;
          while (byte !== delimiter && byte !== LF && byte !== CR && byte !== QUOTE) byte = bytes[++at]!;
        } else {
          const start = at;
          const negative = byte === MINUS;
          if (negative) byte = bytes[++at]!;
          const firstDigit = at;
          let mantissa = 0;
          let digit = (byte - ZERO) >>> 0;
          // The first digits one by one: a loop's own cost is as much as a digit's. The loop takes what is left.
          if (digit < 10) {
            mantissa = digit;
            digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
            if (digit < 10) {
              mantissa = (Math.imul(mantissa, 10) + digit) | 0;
              digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
              if (digit < 10) {
                mantissa = (Math.imul(mantissa, 10) + digit) | 0;
                digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
                while (digit < 10) {
                  mantissa = (Math.imul(mantissa, 10) + digit) | 0;
                  digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
                }
              }
            }
          }
          let digits = at - firstDigit;
          let decimals = 0;
          if (byte === mark) {
            const firstDecimal = ++at;
            digit = ((byte = bytes[at]!) - ZERO) >>> 0;
            if (digit < 10) {
              mantissa = (Math.imul(mantissa, 10) + digit) | 0;
              digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
              if (digit < 10) {
                mantissa = (Math.imul(mantissa, 10) + digit) | 0;
                digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
                if (digit < 10) {
                  mantissa = (Math.imul(mantissa, 10) + digit) | 0;
                  digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
                  while (digit < 10) {
                    mantissa = (Math.imul(mantissa, 10) + digit) | 0;
                    digit = ((byte = bytes[++at]!) - ZERO) >>> 0;
                  }
                }
              }
            }
            decimals = at - firstDecimal;
            digits += decimals;
          }
          let value: number;
          if (digits > 0 && digits < 10 && (byte === delimiter || byte === LF || byte === CR)) {
            value = mantissa / POWERS[decimals]!;
            if (negative) value = 0 - value; // never -0
          } else {
            value = this.readToken(bytes, start);
            if (!(value < LARGEST && value > -LARGEST)) break scanning;
            at = this.tokenEnd;
            byte = bytes[at]!;
          }
          columns[target * capacity + row] = value;
        }
        at++;
        if (cell < lastCell) {
          if (byte !== delimiter) break scanning;
        } else {
          if (byte === CR) byte = bytes[at++]!;
          if (byte !== LF) break scanning;
        }
      }
      const time = columns[row]! * timeFactor + timeOffset;
      if (!(time > this.lastTime)) break;
      this.lastTime = time;
      row++;
      this.position = at;
    }
    return row;
  }

  /** A longer number, one with an exponent or a plus sign; NaN where it is none. Leaves the byte behind it in tokenEnd. */
  private readToken(bytes: Uint8Array, start: number): number {
    let at = start;
    const negative = bytes[at] === MINUS;
    if (negative || bytes[at] === PLUS) at++;
    let mantissa = 0;
    let digits = 0;
    let decimals = 0;
    for (let behindMark = false; ; at++) {
      const digit = (bytes[at]! - ZERO) >>> 0;
      if (digit < 10) {
        mantissa = mantissa * 10 + digit;
        digits++;
        if (behindMark) decimals++;
      } else if (bytes[at] === this.mark && !behindMark) behindMark = true;
      else break;
    }
    if (digits === 0) return NaN;
    let exponent = 0;
    if ((bytes[at]! | 0x20) === 0x65) {
      exponent = readExponent(bytes, at + 1);
      if (Number.isNaN(exponent)) return NaN;
      at = endOfExponent(bytes, at + 1);
    }
    this.tokenEnd = at;
    const scale = exponent - decimals;
    if (mantissa < EXACT_INTEGERS && scale >= -22 && scale <= 22) {
      const value = scale < 0 ? mantissa / POWERS[-scale]! : mantissa * POWERS[scale]!;
      return negative ? 0 - value : value;
    }
    return this.numberFromText(bytes, start, at);
  }

  private numberFromText(bytes: Uint8Array, from: number, to: number): number {
    let text = '';
    for (let at = from; at < to; at++) {
      text += String.fromCharCode(bytes[at] === this.mark ? POINT : bytes[at]!);
    }
    return Number(text) + 0;
  }
}

/** The exponent whose sign or first digit stands at `from`; NaN where there is no digit. */
function readExponent(bytes: Uint8Array, from: number): number {
  const signed = bytes[from] === MINUS || bytes[from] === PLUS;
  let value = NaN;
  for (let at = signed ? from + 1 : from; ; at++) {
    const digit = (bytes[at]! - ZERO) >>> 0;
    if (digit > 9) break;
    value = (Number.isNaN(value) ? 0 : value) * 10 + digit;
  }
  return bytes[from] === MINUS ? -value : value;
}

function endOfExponent(bytes: Uint8Array, from: number): number {
  let at = from;
  if (bytes[at] === MINUS || bytes[at] === PLUS) at++;
  while ((bytes[at]! - ZERO) >>> 0 < 10) at++;
  return at;
}

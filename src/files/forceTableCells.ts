import { NUMBER_PATTERN } from '../quantities/quantity';
import { toSi } from '../quantities/unit';
import type { TableColumn } from './forceTableHeader';
import type { SourcePosition } from './problem';
import type { ProblemList } from './problemText';

/** How numbers are written in a table. */
export type DecimalSign = '.' | ',';

/** Finds the decimal sign from the cells: a comma only where columns are parted by something else. */
export function findDecimalSign(rows: readonly (readonly string[])[], delimiter: string): DecimalSign {
  if (delimiter === ',') return '.';
  for (const row of rows) {
    for (const cell of row) {
      if (/^\s*[+-]?\d*,\d+(?:[eE][+-]?\d+)?\s*$/.test(cell)) return ',';
      if (/^\s*[+-]?\d*\.\d+/.test(cell)) return '.';
    }
  }
  return '.';
}

/**
 * Reads one cell; NaN for an empty one that may be empty, undefined where it is at fault, which is reported.
 *
 * @param positionOf only asked at a fault: finding a place means counting lines
 */
export function readCell(
  text: string,
  column: TableColumn,
  decimal: DecimalSign,
  positionOf: () => SourcePosition,
  problems: ProblemList,
): number | undefined {
  const name = column.kind === 'adjuster' ? column.id : column.column.name;
  const add = (words: { message: string; remedy: string }) => {
    problems.add({ position: positionOf(), column: name, value: text, ...words });
  };
  const trimmed = text.trim();
  if (trimmed === '') {
    if (column.kind === 'value' && column.column.mayBeEmpty) return NaN;
    add({ message: `'${name}' is empty in this row.`, remedy: 'Write the number, or remove the row.' });
    return undefined;
  }
  const plain = decimal === ',' ? trimmed.replace(',', '.') : trimmed;
  const mixed = decimal === ',' && trimmed.includes('.');
  if (mixed || !NUMBER_PATTERN.test(plain) || !Number.isFinite(Number(plain))) {
    add(notANumber(trimmed, decimal));
    return undefined;
  }
  if (column.kind === 'adjuster') return Number(plain);
  const value = column.unit === undefined ? Number(plain) : toSi(Number(plain), column.unit);
  const fault = outOfRange(value, column.column);
  if (fault !== undefined)
    add({
      message: `'${name}' is ${trimmed} here, which ${fault}.`,
      remedy: 'Correct the number, or its unit in the header.',
    });
  return fault === undefined ? value : undefined;
}

/** What is wrong with a value that its column does not allow. */
export function outOfRange(
  value: number,
  { least, above, whole, name }: { least?: number; above?: number; whole?: boolean; name: string },
): string | undefined {
  if (above !== undefined && !(value > above)) {
    return name === 'velocity'
      ? 'is no peak speed: speeds are unsigned, the side is in the columns'
      : 'is not above zero';
  }
  if (least !== undefined && !(value >= least)) return `is less than ${least}`;
  return whole === true && !Number.isInteger(value) ? 'is not a whole number' : undefined;
}

function notANumber(text: string, decimal: DecimalSign): { message: string; remedy: string } {
  if (/^[+-]?(?:nan|inf(?:inity)?|\d[\d.,]*e\+?\d{3,})$/i.test(text)) {
    return {
      message: `'${text}' is not a finite number.`,
      remedy: 'Leave the cell empty if the value was not measured, or remove the row.',
    };
  }
  if (/^[+-]?[\d.,' ]+$/.test(text)) {
    const sign = decimal === ',' ? 'comma' : 'point';
    return {
      message: `'${text}' mixes signs: numbers in this file have a decimal ${sign}.`,
      remedy: `Write numbers with a decimal ${sign} and without thousands separators.`,
    };
  }
  return {
    message: `'${text}' is not a number.`,
    remedy: 'Write a number without its unit; the unit stands in the header.',
  };
}

import { fromSi, nearestUnit, parseUnit, toSi, unitsOf } from './unit';
import { DIMENSION_WORDS } from './unitTable';
import type { Dimension, Unit } from './unitTable';

/** Why a text is no quantity of the kind asked for; `fault` tells which rule it breaks. */
export interface QuantityProblem {
  readonly fault: 'no-number' | 'no-unit' | 'unknown-unit' | 'wrong-dimension';
  readonly problem: string;
  readonly remedy: string;
}

export interface Quantity {
  /** SI value; a fraction for percent. */
  readonly value: number;
  /** The unit it was written in. */
  readonly unit: Unit;
}

/** A finite decimal number with a point; no thousands separators, no hexadecimal, no words. */
export const NUMBER_PATTERN = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
const QUANTITY_PATTERN = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*)?$/;

/**
 * Reads a quantity such as `50 mm`, `5 %` or `12 bar` and checks its dimension.
 *
 * @param text as written, at most a few words
 * @param dimension what is expected
 * @returns the SI value and the unit, or what is wrong and how to mend it
 */
export function parseQuantity(text: string, dimension: Dimension): Quantity | QuantityProblem {
  const example = `${exampleValue(dimension)} ${unitsOf(dimension)[0]!}`;
  const match = QUANTITY_PATTERN.exec(text.trim());
  if (match === null) return noNumber(text, dimension, example);
  const [, number, unitText] = match;
  const value = Number(number);
  if (!Number.isFinite(value)) return noNumber(text, dimension, example);
  if (unitText === undefined) return noUnit(number!, dimension);
  if (/^,\d/.test(unitText)) return noNumber(text, dimension, example);
  const unit = parseUnit(unitText);
  if (unit === undefined) return unknownUnit(unitText, dimension);
  if (unit.dimension !== dimension) return wrongDimension(unit, dimension);
  return { value: toSi(value, unit), unit };
}

/** Whether {@link parseQuantity} found something wrong. */
export function isQuantityProblem(result: Quantity | QuantityProblem): result is QuantityProblem {
  return 'problem' in result;
}

/** Writes an SI value in a unit, with at most `decimals` decimals and no needless zeros: `50 mm`. */
export function quantityText(value: number, unit: Unit, decimals: number): string {
  return `${decimalText(fromSi(value, unit), decimals)} ${unit.code}`;
}

/** A number with at most `decimals` decimals, needless zeros and a negative zero left off. */
export function decimalText(value: number, decimals: number): string {
  const fixed = value.toFixed(decimals);
  const short = fixed.includes('.') ? fixed.replace(/\.?0+$/, '') : fixed;
  return short === '-0' ? '0' : short;
}

/** What to say of a unit that the table does not hold. */
export function unknownUnit(text: string, dimension: Dimension): QuantityProblem {
  const near = nearestUnit(text, dimension) ?? nearestUnit(text);
  const offer = unitsOf(dimension).join(', ');
  return {
    fault: 'unknown-unit',
    problem: `'${text}' is not a known unit.`,
    remedy: near === undefined ? `Use one of ${offer}.` : `Did you mean '${near}'? Known here: ${offer}.`,
  };
}

/** What to say of a unit that measures something else. */
export function wrongDimension(unit: Unit, dimension: Dimension): QuantityProblem {
  return {
    fault: 'wrong-dimension',
    problem: `'${unit.code}' is a unit of ${nounOf(unit.dimension)}; ${DIMENSION_WORDS[dimension]} is expected here.`,
    remedy: `Use a unit of ${nounOf(dimension)}: ${unitsOf(dimension).join(', ')}.`,
  };
}

function noNumber(text: string, dimension: Dimension, example: string): QuantityProblem {
  const comma = /^[+-]?\d*,\d/.test(text.trim());
  return {
    fault: 'no-number',
    problem: comma
      ? `'${text}' has a comma in its number.`
      : `'${text}' does not begin with a finite number; ${DIMENSION_WORDS[dimension]} is expected.`,
    remedy: comma
      ? 'Write the number with a decimal point and without thousands separators.'
      : `Write it like ${example}.`,
  };
}

function noUnit(number: string, dimension: Dimension): QuantityProblem {
  const usual = unitsOf(dimension)[0]!;
  return {
    fault: 'no-unit',
    problem: `${number} has no unit; ${DIMENSION_WORDS[dimension]} is expected.`,
    remedy: `Write the unit behind the number, for example ${number} ${usual}.`,
  };
}

function nounOf(dimension: Dimension): string {
  return DIMENSION_WORDS[dimension].replace(/^an? /, '');
}

function exampleValue(dimension: Dimension): number {
  return { length: 50, velocity: 100, temperature: 30, force: 20 }[dimension as string] ?? 5;
}

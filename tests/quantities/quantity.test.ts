import { describe, expect, it } from 'vitest';
import { decimalText, isQuantityProblem, parseQuantity, quantityText } from '../../src/quantities/quantity';
import { parseUnit } from '../../src/quantities/unit';
import type { Dimension } from '../../src/quantities/unit';

function problemOf(text: string, dimension: Dimension): { fault: string; problem: string; remedy: string } {
  const result = parseQuantity(text, dimension);
  if (!isQuantityProblem(result)) throw new Error(`'${text}' was read as ${result.value}`);
  return result;
}

describe('parseQuantity', () => {
  it.each([
    ['50 mm', 'length', 0.05],
    ['50mm', 'length', 0.05],
    ['5 %', 'fraction', 0.05],
    ['12 bar', 'pressure', 12e5],
    ['80 cm3', 'volume', 80e-6],
    ['30 Cel', 'temperature', 303.15],
    ['-4 °F', 'temperature', 253.15],
    ['8 kN', 'force', 8000],
    ['1e-3 m', 'length', 1e-3],
    ['.5 s', 'time', 0.5],
    ['2 [in_i]', 'length', 0.0508],
    ['365 d', 'time', 365 * 86400],
    ['1.3 1', 'fraction', 1.3],
  ] as const)('%s', (text, dimension, value) => {
    const result = parseQuantity(text, dimension);
    if (isQuantityProblem(result)) throw new Error(result.problem);
    expect(result.value).toBeCloseTo(value, 12);
  });

  it('says that a unit is missing, and writes it out', () => {
    const { fault, problem, remedy } = problemOf('50', 'length');
    expect([fault, problem]).toEqual(['no-unit', '50 has no unit; a length is expected.']);
    expect(remedy).toContain('50 mm');
  });

  it('says that a force is no length', () => {
    const { fault, problem, remedy } = problemOf('20 mm', 'force');
    expect([fault, problem]).toEqual(['wrong-dimension', "'mm' is a unit of length; a force is expected here."]);
    expect(remedy).toContain('N');
  });

  it('names the nearest unit', () => {
    const { fault, remedy } = problemOf('100 mm/sec', 'velocity');
    expect([fault, remedy.startsWith("Did you mean 'mm/s'?")]).toEqual(['unknown-unit', true]);
  });

  it('takes what follows the number for a unit, hexadecimal included', () => {
    expect(problemOf('0x10 mm', 'length')).toMatchObject({
      fault: 'unknown-unit',
      problem: "'x10 mm' is not a known unit.",
    });
  });

  it.each(['1,5 mm', '1,500 mm', ',5 mm'])('asks for a decimal point in %s', (text) => {
    const { fault, problem, remedy } = problemOf(text, 'length');
    expect([fault, problem.includes('comma'), remedy.includes('decimal point')]).toEqual(['no-number', true, true]);
  });

  it.each(['', 'mm', 'NaN mm', 'Infinity mm', '1e999 mm', '--5 mm', '+ 5 mm'])('refuses %j', (text) => {
    expect(problemOf(text, 'length').fault).toBe('no-number');
  });
});

describe('writing', () => {
  it('leaves needless zeros off', () => {
    expect(quantityText(0.05, parseUnit('mm')!, 3)).toBe('50 mm');
    expect(quantityText(304.25, parseUnit('Cel')!, 1)).toBe('31.1 Cel');
    expect([decimalText(-0.001, 2), decimalText(100, 0), decimalText(1.5, 3)]).toEqual(['0', '100', '1.5']);
  });
});

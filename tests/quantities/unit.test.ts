import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fromSi, nearestUnit, parseUnit, toSi } from '../../src/quantities/unit';
import { UNIT_ROWS } from '../../src/quantities/unitTable';

describe('parseUnit', () => {
  it.each([
    ['°C', 'Cel'],
    ['℃', 'Cel'],
    ['°F', '[degF]'],
    ['degF', '[degF]'],
    ['in', '[in_i]'],
    ['in/s', '[in_i]/s'],
    ['lbf', '[lbf_av]'],
    ['klbf', 'k[lbf_av]'],
    ['psi', '[psi]'],
    ['N·s/m', 'N.s/m'],
    ['N s/m', 'N.s/m'],
    ['N*s/mm', 'N.s/mm'],
    ['m/s²', 'm/s2'],
    ['m/s^2', 'm/s2'],
    ['cm³', 'cm3'],
    ['µm', 'um'],
    ['μs', 'us'],
    ['mm / s', 'mm/s'],
    ['l', 'L'],
    [' N ', 'N'],
  ])('reads %s as %s', (text, code) => {
    expect(parseUnit(text)?.code).toBe(code);
  });

  it.each(['', 'n', 'MM', 'C', 'F', 'newton', 'constructor', '__proto__', 'mm/s/s', 'lb/in', '[mm]'])(
    'refuses %j',
    (text) => {
      expect(parseUnit(text)).toBeUndefined();
    },
  );

  it('converts there and back', () => {
    fc.assert(
      fc.property(fc.constantFrom(...UNIT_ROWS), fc.double({ min: -1e6, max: 1e6, noNaN: true }), ({ unit }, value) => {
        const back = fromSi(toSi(value, unit), unit);
        expect(Math.abs(back - value)).toBeLessThanOrEqual(
          1e-12 * (Math.abs(value) + Math.abs(unit.offset / unit.factor)) + 1e-300,
        );
      }),
      { seed: 1, numRuns: 500 },
    );
  });

  it('finds every row again from its code with typographic noise', () => {
    const noise = fc.record({
      row: fc.constantFrom(...UNIT_ROWS),
      before: fc.constantFrom('', ' '),
      dot: fc.constantFrom('.', '·', '*', '⋅'),
    });
    fc.assert(
      fc.property(noise, ({ row, before, dot }) => {
        expect(parseUnit(before + row.unit.code.replace(/\./g, dot))).toBe(row.unit);
      }),
      { seed: 2, numRuns: 300 },
    );
  });

  it('keeps decimal numbers as a person would write them', () => {
    const mmPerSecond = parseUnit('mm/s')!;
    for (let speed = 1; speed <= 2000; speed++) {
      expect(toSi(speed, mmPerSecond)).toBe(Number(`${speed}e-3`));
      expect(fromSi(toSi(speed, mmPerSecond), mmPerSecond)).toBeCloseTo(speed, 9);
    }
  });
});

describe('nearestUnit', () => {
  it.each([
    ['MM', 'mm'],
    ['in_i', '[in_i]'],
    ['mm/sec', 'mm/s'],
    ['Bar', 'bar'],
    ['PSI', 'psi'],
    ['kn', 'kN'],
    ['lb/in', 'lbf/in'],
  ])('%s is close to %s', (text, near) => {
    expect(nearestUnit(text)).toBe(near);
  });

  it('offers nothing where nothing is close', () => {
    expect(nearestUnit('furlongs per fortnight')).toBeUndefined();
  });
});

import ucumPackage from '@lhncbc/ucum-lhc';
import { describe, expect, it } from 'vitest';
import { parseUnit, toSi } from '../../src/quantities/unit';
import { UNIT_ROWS } from '../../src/quantities/unitTable';
import type { Dimension } from '../../src/quantities/unitTable';

const ucum = ucumPackage.UcumLhcUtils.getInstance();

const SI_CODE: Readonly<Record<Dimension, string>> = {
  length: 'm',
  velocity: 'm/s',
  acceleration: 'm/s2',
  force: 'N',
  temperature: 'K',
  pressure: 'Pa',
  area: 'm2',
  volume: 'm3',
  mass: 'kg',
  stiffness: 'N/m',
  damping: 'N.s/m',
  time: 's',
  frequency: 'Hz',
  energy: 'J',
  power: 'W',
  fraction: '1',
};

function expectClose(actual: number, expected: number, relative: number): void {
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.max(Math.abs(expected), 1e-300));
}

describe('the unit table', () => {
  // Outside check: @lhncbc/ucum-lhc, the UCUM implementation of the US National Library of Medicine.
  it.each(UNIT_ROWS.map(({ unit }) => [unit.code, unit] as const))('agrees with a UCUM library on %s', (code, unit) => {
    for (const value of [1, 37, -12.5]) {
      const theirs = ucum.convertUnitTo(code, value, SI_CODE[unit.dimension]);
      expect(theirs.status).toBe('succeeded');
      expectClose(toSi(value, unit), theirs.toVal!, 1e-12);
    }
  });

  it('holds no spelling twice', () => {
    const all = UNIT_ROWS.flatMap(({ unit, spellings }) => [unit.code, ...spellings]);
    expect(new Set(all).size).toBe(all.length);
    for (const { unit, spellings } of UNIT_ROWS)
      for (const spelling of [unit.code, ...spellings]) expect(parseUnit(spelling)).toBe(unit);
  });
});

describe('published factors', () => {
  // NIST Special Publication 811 (2008), appendix B.8; the exact ones are definitions.
  it.each([
    ['[lbf_av]', 1, 4.4482216152605],
    ['k[lbf_av]', 1, 4448.2216152605],
    ['[in_i]', 1, 0.0254],
    ['[ft_i]', 1, 0.3048],
    ['[psi]', 1, 6894.757293168361],
    ['bar', 1, 1e5],
    ['kgf', 1, 9.80665],
    ['[lb_av]', 1, 0.45359237],
    ['L', 1, 1e-3],
    ['Cel', 0, 273.15],
    ['[degF]', 32, 273.15],
    ['[degF]', 212, 373.15],
    ['[degF]', -459.67, 0],
  ])('%s: %d is %d in SI', (code, value, si) => {
    // Exact by definition: a few units of the last binary digit, which a temperature's offset sets at 300 K.
    const scale = parseUnit(code)!.dimension === 'temperature' ? 300 : Math.abs(si);
    expect(Math.abs(toSi(value, parseUnit(code)!) - si)).toBeLessThanOrEqual(5e-16 * scale);
  });
});

import studentInverse from '@stdlib/stats-base-dists-t-quantile';
import { describe, expect, it } from 'vitest';
import { normalQuantile, studentQuantile } from '../../../src/analysis/statistics/distributions';
import { studentFactor } from '../../../src/analysis/statistics/studentFactor';
import { createRandom } from '../../simulator/random';
import { thorough } from '../../thorough';

describe('coverage factor of 95 %', () => {
  /** Tables of Student's t to three decimals, as in JCGM 100:2008, table G.2 (95 %: 12.71, 4.30, ...); the table from memory, its digits from SciPy 1.10.1's stats.t.ppf. */
  it('is that of the tables', () => {
    const table = { 1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 10: 2.228, 20: 2.086, 50: 2.009, 100: 1.984 };
    for (const [df, factor] of Object.entries(table))
      expect(studentFactor(Number(df)).toFixed(3)).toBe(factor.toFixed(3));
  });

  it("is the library's inverse, to 2e-14, at any degrees of freedom from 1 on", () => {
    const random = createRandom(71);
    const drawn = Array.from({ length: thorough ? 200_000 : 3000 }, () => 10 ** random.uniform(0, 7));
    const corners = [1, 1 + 1e-12, 3 - 1e-12, 3, 3 + 1e-12, 30 - 1e-11, 30, 30 + 1e-11, 1e9];
    const worst = [...corners, ...drawn].reduce(
      (most, df) => Math.max(most, Math.abs(studentFactor(df) / studentInverse(0.975, df) - 1)),
      0,
    );
    expect(worst).toBeLessThan(2e-14);
  });

  it('falls with every degree of freedom, across the seams of the series too, down to the normal one', () => {
    const factors = Array.from({ length: 60_000 }, (_, i) => studentFactor(1 + i / 1000));
    expect(factors.filter((factor, i) => i > 0 && !(factor < factors[i - 1]!))).toEqual([]);
    expect(studentFactor(Infinity)).toBeCloseTo(normalQuantile(0.975), 14);
  });

  it('is what every quantile at 97.5 % is; below one degree of freedom the library is asked', () => {
    expect(studentQuantile(0.975, 6.5)).toBe(studentFactor(6.5));
    expect(studentQuantile(0.975, 0.4)).toBe(studentInverse(0.975, 0.4));
    expect(studentQuantile(0.95, 6.5)).toBe(studentInverse(0.95, 6.5));
    expect(studentQuantile(0.975, 0)).toBeNaN();
  });

  it("goes on to the normal quantile where the library's inverse has ended at 0", () => {
    expect(studentInverse(0.975, 1e17)).toBe(0);
    for (const p of [0.9, 0.975, 0.995])
      for (const df of [1e14, 1e16, 1e17, 1e30, Infinity])
        expect(studentQuantile(p, df)).toBeCloseTo(normalQuantile(p), 12);
    for (const df of [1e14, 1e17, 1e30]) expect(studentFactor(df)).toBeCloseTo(normalQuantile(0.975), 12);
  });
});

import { describe, expect, it } from 'vitest';
import { normalQuantile } from '../../../src/analysis/statistics/distributions';
import { expandTwo, expandUncertainty } from '../../../src/analysis/uncertainty/expand';
import { createRandom } from '../../simulator/random';

describe('expanded uncertainty', () => {
  it('of two parts is the same in bare numbers', () => {
    const random = createRandom(417);
    for (let i = 0; i < 500; i++) {
      const part = (): { readonly u: number; readonly df: number } => ({
        u: random.integer(0, 4) === 0 ? 0 : random.uniform(0, 20),
        df: random.integer(0, 3) === 0 ? Infinity : random.uniform(1, 300),
      });
      const [a, b] = [part(), part()];
      const two = expandTwo(a.u, a.df, b.u, b.df);
      const listed = expandUncertainty(
        [
          { name: 'cycles', ...a },
          { name: 'gas', ...b },
        ],
        true,
      );
      expect(two.U).toBeCloseTo(listed.U, 11);
      expect(two.u).toBeCloseTo(Math.hypot(a.u, b.u), 11);
      expect(two.coverageFactor).toBeCloseTo(listed.coverageFactor, 11);
      if (Number.isFinite(two.degreesOfFreedom))
        expect(two.degreesOfFreedom / listed.degreesOfFreedom).toBeCloseTo(1, 11);
      else expect(listed.degreesOfFreedom).toBe(Infinity);
    }
  });

  it('does not vanish where cycles scatter next to nothing beside the bench', () => {
    // Effective degrees of freedom of 3e20, where the library's inverse gives a factor of 0.
    const { U, degreesOfFreedom } = expandUncertainty(
      [
        { name: 'cycles', u: 0.0001, df: 3 },
        { name: 'load cell', u: 10, df: Infinity },
      ],
      true,
    );
    expect(degreesOfFreedom).toBeGreaterThan(1e20);
    expect(U).toBeCloseTo(10 * normalQuantile(0.975), 8);
  });
});

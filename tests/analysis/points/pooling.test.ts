import { describe, expect, it } from 'vitest';
import { methodUncertainty, poolCycleScatter } from '../../../src/analysis/points/pooling';
import { successiveDeviation, successiveFreedom, variance } from '../../../src/analysis/statistics/quantile';
import { createRandom } from '../../simulator/random';

const point = (cycles: number, scatter: number, fitVariance: number) => ({
  cycles,
  cycleSpread: scatter,
  cycleScatter: scatter,
  fitVariance,
});

describe('pooled scatter between cycles', () => {
  it('is one factor on the variance that the fits let expect', () => {
    // Two cycles each, one degree of freedom each: lambda = mean of s^2 / v = (4/2 + 9/9 + 1/1) / 3.
    const pooled = poolCycleScatter([point(2, 2, 2), point(2, 3, 9), point(2, 1, 1)]);
    const lambda = (2 + 1 + 1) / 3;
    expect(pooled.map(({ df }) => df)).toEqual([3, 3, 3]);
    expect(pooled[0]!.u).toBeCloseTo(Math.sqrt((lambda * 2) / 2), 12);
    expect(pooled[1]!.u).toBeCloseTo(Math.sqrt((lambda * 9) / 2), 12);
  });

  it('a step that stands out keeps its own spread and is left out of the others', () => {
    const steady = Array.from({ length: 12 }, () => point(4, 1, 1));
    const pooled = poolCycleScatter([...steady, { ...point(4, 30, 1), cycleSpread: 28 }]);
    expect(pooled.at(-1)).toEqual({ u: 14, df: 3 });
    expect(pooled[0]!.u).toBeCloseTo(0.5, 12);
    expect(pooled[0]!.df).toBeCloseTo(12 * successiveFreedom(4), 12);
  });

  it('one step alone has its own scatter; one cycle alone has none', () => {
    expect(poolCycleScatter([point(2, 3, 1)])).toEqual([{ u: expect.closeTo(3 / Math.SQRT2, 12) as number, df: 1 }]);
    expect(poolCycleScatter([point(1, 0, 1)])[0]).toEqual({ u: NaN, df: 0 });
    expect(poolCycleScatter([])).toEqual([]);
  });

  it('a step without a fit variance falls back on its own spread', () => {
    expect(poolCycleScatter([point(3, 2, NaN), point(3, 1, 1)])[0]).toEqual({ u: 2 / Math.sqrt(3), df: 2 });
  });

  it('no scatter at all is no uncertainty of this kind', () => {
    expect(poolCycleScatter([point(3, 0, 0), point(3, 0, 0)]).map(({ u }) => u)).toEqual([0, 0]);
  });
});

describe('scatter between neighbours', () => {
  it('is that of independent values, with the degrees of freedom stated', () => {
    const random = createRandom(4);
    const squares: number[] = [];
    for (let i = 0; i < 20_000; i++)
      squares.push(successiveDeviation(Array.from({ length: 7 }, () => random.normal())) ** 2);
    const average = squares.reduce((sum, s) => sum + s, 0) / squares.length;
    expect(average).toBeCloseTo(1, 1.7);
    // Variance of a mean square with f degrees of freedom: 2 / f.
    expect(2 / variance(squares) / successiveFreedom(7)).toBeCloseTo(1, 1.2);
    expect([2, 3].map(successiveFreedom)).toEqual([1, 1.6]);
  });

  it('does not see a slow trend', () => {
    const trend = Array.from({ length: 50 }, (_, i) => 0.1 * i);
    expect(successiveDeviation(trend)).toBeCloseTo(0.1 / Math.SQRT2, 12);
    expect(successiveDeviation([5])).toBe(0);
  });
});

describe('method term', () => {
  it('is a floor and a share of the force', () => {
    expect(methodUncertainty(0)).toBe(0.03);
    expect(methodUncertainty(-2000)).toBeCloseTo(Math.hypot(0.03, 0.1), 12);
  });
});

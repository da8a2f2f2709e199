import { describe, expect, it } from 'vitest';
import { goldenSection } from '../../../src/analysis/statistics/goldenSection';

describe('golden-section search', () => {
  it('finds a dip wherever it lies, to what rounding of the cost allows', () => {
    for (const dip of [-0.999, -0.2, 0, 0.37, 0.999])
      expect(goldenSection((at) => (at - dip) ** 2, -1, 1)).toBeCloseTo(dip, 7);
  });

  it('goes to the end of the interval where the cost falls all the way', () => {
    expect(goldenSection((at) => at, 2, 5)).toBeCloseTo(2, 7);
    expect(goldenSection((at) => -at, 2, 5)).toBeCloseTo(5, 7);
  });
});

import { describe, expect, it } from 'vitest';
import { savitzkyGolayWeights } from '../../src/analysis/statistics/savitzkyGolay';

describe('Savitzky-Golay weights as printed', () => {
  // A. Savitzky, M. J. E. Golay, Analytical Chemistry 36 (1964) 1627, tables I and VI; the derivative of 5 points and the 7 points
  // recomputed.
  it.each([
    { window: 5, order: 2, derivative: 0, divisor: 35, printed: [-3, 12, 17, 12, -3] },
    { window: 7, order: 2, derivative: 0, divisor: 21, printed: [-2, 3, 6, 7, 6, 3, -2] },
    { window: 5, order: 2, derivative: 1, divisor: 10, printed: [-2, -1, 0, 1, 2] },
  ])('$window points, order $order, derivative $derivative', ({ window, order, derivative, divisor, printed }) => {
    const weights = savitzkyGolayWeights(window, order, derivative);
    printed.forEach((value, i) => {
      expect(weights[i]! * divisor).toBeCloseTo(value, 11);
    });
  });
});

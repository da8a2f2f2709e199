import { describe, expect, it } from 'vitest';
import { cochranLimit } from '../../src/analysis/statistics/cochran';

describe("Cochran's test", () => {
  // Critical values of ISO 5725-2:1994, table 4; values from memory. Columns: laboratories, results each, 1 % and 5 % limits.
  it.each([
    [3, 2, 0.993, 0.967],
    [5, 2, 0.928, 0.841],
    [10, 2, 0.718, 0.602],
    [3, 3, 0.942, 0.871],
    [5, 3, 0.788, 0.684],
    [10, 3, 0.536, 0.445],
    [3, 4, 0.883, 0.798],
    [5, 4, 0.696, 0.598],
    [10, 4, 0.447, 0.373],
  ])('%d groups of %d: limits %d and %d', (groups, size, onePercent, fivePercent) => {
    const own = size - 1;
    const others = (groups - 1) * own;
    expect(cochranLimit(own, others, 0.01 / groups)).toBeCloseTo(onePercent, 2.7);
    expect(cochranLimit(own, others, 0.05 / groups)).toBeCloseTo(fivePercent, 2.7);
  });
});

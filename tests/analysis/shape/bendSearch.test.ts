import { describe, expect, it } from 'vitest';
import { bendCost, softPlus } from '../../../src/analysis/shape/bendSearch';
import { leastSquares } from '../../../src/analysis/statistics/leastSquares';
import { createRandom } from '../../simulator/random';

describe('the cost of a knee', () => {
  it('is the weighted sum of squared residuals that Householder QR gives', () => {
    const random = createRandom(41);
    for (let round = 0; round < 40; round++) {
      const speeds = Array.from({ length: 6 + (round % 9) }, (_, i) => 0.03 * (i + 1) ** random.uniform(1, 1.4));
      const forces = speeds.map((v) => 300 * Math.tanh(v / 0.1) + 500 * v + 5 * random.normal());
      const weights = forces.map((force) => 1 / Math.max(20, Math.abs(force)) ** 2);
      const cost = bendCost(speeds, forces, weights);
      for (const softness of [0.02, 0.15, 0.3]) {
        const knee = random.uniform(speeds[1]!, speeds.at(-2)!);
        const s = softness * knee;
        const design = speeds.map((v) => [1, v, s * softPlus((v - knee) / s)]);
        const sum = leastSquares(design, forces, weights)!.residualSumOfSquares;
        expect(Math.abs(cost(knee, softness) / sum - 1)).toBeLessThan(1e-9);
      }
    }
  });

  it('is infinite where the bend cannot be told from the line', () => {
    const speeds = [0.1, 0.2, 0.3, 0.4, 0.5];
    const ones = speeds.map(() => 1);
    expect(bendCost(speeds, ones, ones)(100, 0.0001)).toBe(Infinity);
    expect(
      bendCost(
        ones,
        ones.map((_, i) => i),
        ones,
      )(0.3, 0.1),
    ).toBe(Infinity);
  });
});

it('softPlus is ln(1 + exp(x)) at both ends', () => {
  expect(softPlus(0)).toBeCloseTo(Math.LN2, 15);
  for (const x of [36.9, 37.1, 700]) expect(softPlus(x)).toBe(x + Math.log1p(Math.exp(-x)));
  expect(softPlus(-40)).toBe(Math.log1p(Math.exp(-40)));
});

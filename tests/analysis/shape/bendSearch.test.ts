import { describe, expect, it } from 'vitest';
import { BendCost } from '../../../src/analysis/shape/bendCost';
import { BendGrid, KNEES, SOFTNESS } from '../../../src/analysis/shape/bendGrid';
import { bestBend } from '../../../src/analysis/shape/bendSearch';
import { ROUGH_ERROR, roughSoftPlus, softPlus } from '../../../src/analysis/shape/softPlus';
import { goldenSection } from '../../../src/analysis/statistics/goldenSection';
import { leastSquares } from '../../../src/analysis/statistics/leastSquares';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';
import { thorough } from '../../thorough';

const CURVES = thorough ? 5000 : 500;

interface Curve {
  readonly speeds: readonly number[];
  readonly forces: readonly number[];
  readonly weights: readonly number[];
}

/** Digressive, straight or bent anywhere, with 1 % noise: what the search meets. */
function randomCurve(random: RandomSource, count: number): Curve {
  const growth = random.uniform(1, 1.4);
  const speeds = Array.from({ length: count }, (_, i) => 0.03 * (i + 1) ** growth);
  const [start, bend, knee] = [random.uniform(0, 400), random.uniform(-0.9, 2), random.uniform(0.02, 0.6)];
  const s = random.uniform(0.005, 0.4) * knee;
  const forces = speeds.map(
    (v) => (start + 1000 * (v + bend * s * softPlus((v - knee) / s))) * (1 + 0.01 * random.normal()),
  );
  return { speeds, forces, weights: forces.map((force) => 1 / Math.max(20, Math.abs(force)) ** 2) };
}

/** The search without anything rough in it: every bend of the grid in full, then golden sections. */
function searchedInFull({ speeds, forces, weights }: Curve): { knee: number; softness: number } {
  const cost = new BendCost().begin(speeds, forces, weights);
  const grid = new BendGrid();
  grid.begin(speeds);
  const bends = Array.from({ length: KNEES * SOFTNESS.length }, (_, index) => grid.bend(index));
  const { knee, softness } = bends.reduce((best, bend) => (cost.sum(bend) < cost.sum(best) ? bend : best));
  const from = Math.max(speeds[1]!, knee / grid.cell);
  const to = Math.min(speeds.at(-2)!, knee * grid.cell);
  return { softness, knee: goldenSection((at) => cost.sum({ knee: at, softness }), from, to) };
}

describe('the cost of a knee', () => {
  it('is the weighted sum of squared residuals that Householder QR gives', () => {
    const random = createRandom(41);
    for (let round = 0; round < 40; round++) {
      const { speeds, forces, weights } = randomCurve(random, 6 + (round % 9));
      const cost = new BendCost().begin(speeds, forces, weights);
      for (const softness of SOFTNESS) {
        const knee = random.uniform(speeds[1]!, speeds.at(-2)!);
        const s = softness * knee;
        const design = speeds.map((v) => [1, v, s * softPlus((v - knee) / s)]);
        const sum = leastSquares(design, forces, weights)!.residualSumOfSquares;
        expect(Math.abs(cost.sum({ knee, softness }) / sum - 1)).toBeLessThan(1e-9);
      }
    }
  });

  it('is infinite where the bend cannot be told from the line', () => {
    const speeds = [0.1, 0.2, 0.3, 0.4, 0.5];
    const ones = speeds.map(() => 1);
    expect(new BendCost().begin(speeds, ones, ones).sum({ knee: 100, softness: 0.0001 })).toBe(Infinity);
    const rising = ones.map((_, i) => i);
    expect(new BendCost().begin(ones, rising, ones).sum({ knee: 0.3, softness: 0.1 })).toBe(Infinity);
    expect(bestBend(ones, rising, ones)).toBeUndefined();
  });

  it('bounds how far a total of forces is from that of the best line of any bend', () => {
    const random = createRandom(47);
    let nearest = 0;
    for (let round = 0; round < 200; round++) {
      const { speeds, forces, weights } = randomCurve(random, 6 + (round % 9));
      const cost = new BendCost().begin(speeds, forces, weights);
      const [knee, softness] = [random.uniform(speeds[1]!, speeds.at(-2)!), random.uniform(0.02, 0.3)];
      const s = softness * knee;
      const design = speeds.map((v) => [1, v, s * softPlus((v - knee) / s)]);
      const { coefficients, residualSumOfSquares } = leastSquares(design, forces, weights)!;
      const rests = design.map((row, i) => forces[i]! - row.reduce((sum, one, j) => sum + one * coefficients[j]!, 0));
      // The total that what is left lies along, and one at random.
      for (const total of [rests.map((rest, i) => weights[i]! * rest), rests.map(() => random.normal())]) {
        const off = Math.abs(rests.reduce((sum, rest, i) => sum + rest * total[i]!, 0));
        const share = off / (cost.reach(Float64Array.from(total)) * Math.sqrt(residualSumOfSquares));
        nearest = Math.max(nearest, share);
      }
    }
    expect(nearest).toBeLessThan(1 + 1e-9);
    expect(nearest).toBeGreaterThan(1 - 1e-6);
  });

  it('is told roughly within the stated doubt, which is small', () => {
    const random = createRandom(42);
    const grid = new BendGrid();
    let worst = 0;
    let mostDoubt = 0;
    for (let round = 0; round < 40; round++) {
      const { speeds, forces, weights } = randomCurve(random, 6 + (round % 9));
      const cost = new BendCost().begin(speeds, forces, weights);
      grid.begin(speeds);
      for (let index = 0; index < KNEES * SOFTNESS.length; index++) {
        const off = cost.rough(grid.columns, grid.column(index)) - cost.sum(grid.bend(index));
        worst = Math.max(worst, Math.abs(off) / cost.doubt);
        mostDoubt = Math.max(mostDoubt, cost.doubt);
      }
    }
    expect(worst).toBeLessThanOrEqual(1);
    expect(mostDoubt).toBeLessThan(1e-4);
  });

  it('has the slope of its differences', () => {
    const random = createRandom(43);
    for (let round = 0; round < 40; round++) {
      const { speeds, forces, weights } = randomCurve(random, 6 + (round % 9));
      const cost = new BendCost().begin(speeds, forces, weights);
      const knee = random.uniform(speeds[1]!, speeds.at(-2)!);
      for (const softness of SOFTNESS) {
        const step = 1e-5 * knee * softness;
        const sums = [cost.sum({ knee: knee - step, softness }), cost.sum({ knee: knee + step, softness })] as const;
        const slope = cost.slope({ knee, softness });
        expect(Math.abs((sums[1] - sums[0]) / (2 * step) - slope)).toBeLessThan(1e-4 * Math.abs(slope) + 1e-7 / knee);
      }
    }
  });
});

it('finds the bend that a search in full finds', () => {
  const random = createRandom(44);
  for (let round = 0; round < CURVES; round++) {
    const curve = randomCurve(random, 6 + (round % 12));
    const found = bestBend(curve.speeds, curve.forces, curve.weights)!;
    const full = searchedInFull(curve);
    expect(found.softness).toBe(full.softness);
    expect(Math.abs(found.knee / full.knee - 1), `curve ${round}`).toBeLessThan(1e-5);
  }
});

it('softPlus is ln(1 + exp(x)) at both ends', () => {
  expect(softPlus(0)).toBeCloseTo(Math.LN2, 15);
  for (const x of [36.9, 37.1, 700]) expect(softPlus(x)).toBe(x + Math.log1p(Math.exp(-x)));
  expect(softPlus(-40)).toBe(Math.log1p(Math.exp(-40)));
});

it('roughSoftPlus is within its stated error everywhere', () => {
  let worst = 0;
  for (let x = -45; x <= 45; x += 0.00317) worst = Math.max(worst, Math.abs(roughSoftPlus(x) - softPlus(x)));
  expect(worst).toBeLessThan(ROUGH_ERROR);
  expect(worst).toBeGreaterThan(ROUGH_ERROR / 2);
  expect(roughSoftPlus(NaN)).toBeNaN();
});

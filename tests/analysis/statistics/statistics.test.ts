import { describe, expect, it } from 'vitest';
import { cochranOutliers } from '../../../src/analysis/statistics/cochran';
import {
  chiSquareQuantile,
  fQuantile,
  normalQuantile,
  studentQuantile,
} from '../../../src/analysis/statistics/distributions';
import { leastSquares } from '../../../src/analysis/statistics/leastSquares';
import { solvePositiveDefinite } from '../../../src/analysis/statistics/normalEquations';
import { interpolatePchip } from '../../../src/analysis/statistics/pchip';
import {
  mean,
  median,
  quantile,
  quantileOfSorted,
  standardDeviation,
  variance,
} from '../../../src/analysis/statistics/quantile';
import { RunningMedian } from '../../../src/analysis/statistics/runningMedian';
import { savitzkyGolay, savitzkyGolayWeights } from '../../../src/analysis/statistics/savitzkyGolay';
import { createRandom } from '../../simulator/random';

describe('means and quantiles', () => {
  it('of nothing and of one value', () => {
    expect([mean([]), variance([]), median([])]).toEqual([NaN, NaN, NaN]);
    expect([mean([4]), variance([4]), standardDeviation([4]), median([4])]).toEqual([4, 0, 0, 4]);
  });

  it('do not change the order of what they are given', () => {
    const values = [3, 1, 2];
    expect([median(values), quantile(values, 2), quantile(values, -1)]).toEqual([2, 3, 1]);
    expect(values).toEqual([3, 1, 2]);
  });

  it('a quantile of many values is that of the values in order, whatever they are and however they stand', () => {
    const source = createRandom(7);
    const random = (): number => source.next();
    const any = (i: number): number => [random(), Math.floor(4 * random()), i, -i, 0, -0][Math.floor(6 * random())]!;
    const kinds: readonly ((i: number, n: number) => number)[] = [
      () => random(),
      () => Math.floor(3 * random()),
      (i) => i,
      (i) => -i,
      () => 5,
      (i, n) => Math.abs(i - n / 2), // falls, then rises
      any,
      (i) => (i === 40 ? Infinity : i === 50 ? -Infinity : random()),
      (i) => (i === 60 ? NaN : random()),
    ];
    for (const kind of kinds)
      for (const n of [63, 64, 65, 500, 501, 8192]) {
        const values = Array.from({ length: n }, (_, i) => kind(i, n));
        const sorted = Float64Array.from(values).sort();
        for (const share of [0, 0.05, 0.25, 0.5, 0.5001, 0.9, 1])
          expect([n, share, quantile(values, share)]).toEqual([n, share, quantileOfSorted(sorted, share)]);
      }
  });

  it('the running median is the median so far', () => {
    const random = createRandom(8);
    const running = new RunningMedian();
    expect(running.value()).toBeNaN();
    const values: number[] = [];
    for (let i = 0; i < 300; i++) {
      values.push(random.integer(0, 40));
      running.add(values.at(-1)!);
      expect(running.value()).toBe(median(values));
    }
  });
});

describe('least squares', () => {
  const line = (n: number): number[][] => Array.from({ length: n }, (_, i) => [1, i]);

  it('refuses fewer rows than unknowns, and regressors that cannot be told apart', () => {
    expect(leastSquares(line(1), [1])).toBeUndefined();
    expect(leastSquares([], [])).toBeUndefined();
    const twice = Array.from({ length: 5 }, (_, i) => [i, 2 * i]);
    expect(leastSquares(twice, [0, 1, 2, 3, 4])).toBeUndefined();
    const empty = Array.from({ length: 5 }, (_, i) => [i, 0]);
    expect(leastSquares(empty, [0, 1, 2, 3, 4])).toBeUndefined();
  });

  it('leaves out rows of weight 0', () => {
    const fit = leastSquares(line(6), [1, 3, 5, 100, 9, 11.5], [1, 1, 1, 0, 1, 1])!;
    const same = leastSquares(
      [0, 1, 2, 4, 5].map((i) => [1, i]),
      [1, 3, 5, 9, 11.5],
    )!;
    expect(fit.degreesOfFreedom).toBe(3);
    expect(fit.coefficients[1]).toBeCloseTo(same.coefficients[1]!, 12);
    expect(fit.covariance[1]![1]).toBeCloseTo(same.covariance[1]![1]!, 12);
    expect(fit.residualSumOfSquares).toBeCloseTo(same.residualSumOfSquares, 12);
    expect(leastSquares(line(3), [1, 2, 3], [1, 0, 0])).toBeUndefined();
  });

  it('knows no variance without rows to spare', () => {
    const fit = leastSquares(line(2), [1, 3])!;
    expect(fit.coefficients[1]).toBeCloseTo(2, 12);
    expect(fit.residualVariance).toBeNaN();
    expect(fit.unscaledCovariance[1]![1]).toBeCloseTo(2, 12);
  });

  it('covers the true coefficients as often as its covariance says', () => {
    const random = createRandom(21);
    let covered = 0;
    const t = studentQuantile(0.975, 6);
    for (let i = 0; i < 4000; i++) {
      const weights = Array.from({ length: 8 }, () => random.uniform(0.2, 5));
      const observed = weights.map((w, k) => 2 + 3 * k + random.normal() / Math.sqrt(w));
      const fit = leastSquares(line(8), observed, weights)!;
      if (Math.abs(fit.coefficients[1]! - 3) <= t * Math.sqrt(fit.covariance[1]![1]!)) covered++;
    }
    // 95 % of 4000, within 3.3 binomial standard deviations.
    expect(Math.abs(covered - 3800)).toBeLessThan(46);
  });
});

describe('small positive definite systems', () => {
  it('are solved in place for several right sides', () => {
    const a = Float64Array.of(4, NaN, NaN, 2, 5, NaN, -2, 1, 6);
    const b = Float64Array.of(4 + 4 - 6, 1, 2 + 10 + 3, 0, -2 + 2 + 18, 0); // x = (1, 2, 3), and a first column of the inverse
    expect(solvePositiveDefinite(a, b, 3, 2)).toBe(true);
    expect([b[0], b[2], b[4]]).toEqual([1, 2, 3].map((x) => expect.closeTo(x, 12) as number));
    expect(4 * b[1]! + 2 * b[3]! - 2 * b[5]!).toBeCloseTo(1, 12);
  });

  it('are refused where they are singular', () => {
    expect(solvePositiveDefinite(Float64Array.of(1, 2, 2, 4), Float64Array.of(1, 2), 2, 1)).toBe(false);
    expect(solvePositiveDefinite(Float64Array.of(0), Float64Array.of(1), 1, 1)).toBe(false);
    expect(solvePositiveDefinite(Float64Array.of(NaN), Float64Array.of(1), 1, 1)).toBe(false);
  });
});

describe('PCHIP', () => {
  it('never leaves the data between two of them, and goes on straight outside', () => {
    const random = createRandom(5);
    for (let i = 0; i < 200; i++) {
      const x = Array.from({ length: 6 }, (_, k) => k + random.uniform(0, 0.9));
      const y = x.map(() => random.normal());
      const curve = interpolatePchip(x, y);
      for (let k = 0; k < 5; k++) {
        const at = random.uniform(x[k]!, x[k + 1]!);
        expect(curve(at).value).toBeGreaterThanOrEqual(Math.min(y[k]!, y[k + 1]!) - 1e-12);
        expect(curve(at).value).toBeLessThanOrEqual(Math.max(y[k]!, y[k + 1]!) + 1e-12);
      }
      expect(curve(x[3]!).value).toBeCloseTo(y[3]!, 12);
      const end = curve(x[5]!);
      expect(curve(x[5]! + 2).value).toBeCloseTo(end.value + 2 * end.slope, 10);
      const start = curve(x[0]!);
      expect(curve(x[0]! - 1).value).toBeCloseTo(start.value - start.slope, 10);
    }
  });

  it('refuses what is no curve', () => {
    expect(() => interpolatePchip([1], [1])).toThrow(/two points/);
    expect(() => interpolatePchip([1, 2], [1])).toThrow(/two points/);
    expect(() => interpolatePchip([1, 1, 2], [1, 2, 3])).toThrow(/rise/);
    expect(() => interpolatePchip([1, NaN, 2], [1, 2, 3])).toThrow(/rise/);
  });
});

describe('Savitzky-Golay', () => {
  it('reproduces polynomials of its order, and their derivatives, up to the ends', () => {
    const values = Array.from({ length: 40 }, (_, i) => 2 - i + 0.3 * i ** 2 - 0.01 * i ** 3);
    savitzkyGolay(values, 11, 3).forEach((value, i) => {
      expect(value).toBeCloseTo(values[i]!, 9);
    });
    savitzkyGolay(values, 11, 3, 1, 0.5).forEach((value, i) => {
      expect(value).toBeCloseTo((-1 + 0.6 * i - 0.03 * i ** 2) / 0.5, 8);
    });
    expect(savitzkyGolayWeights(5, 2, 3).every((weight) => weight === 0)).toBe(true);
  });

  it('refuses a window that cannot be', () => {
    expect(() => savitzkyGolay([1, 2, 3, 4, 5, 6], 4, 2)).toThrow(/odd/);
    expect(() => savitzkyGolay([1, 2, 3], 5, 2)).toThrow(/too few/);
    expect(() => savitzkyGolayWeights(5, 5, 0)).toThrow(/cannot hold/);
  });
});

describe('distributions', () => {
  it('meet where they are one another', () => {
    expect(studentQuantile(0.975, Infinity)).toBe(normalQuantile(0.975));
    expect(studentQuantile(0.975, 1e9)).toBeCloseTo(normalQuantile(0.975), 7);
    expect(studentQuantile(0.975, 7) ** 2).toBeCloseTo(fQuantile(0.95, 1, 7), 9);
    expect(chiSquareQuantile(0.9, 3) / 3).toBeCloseTo(fQuantile(0.9, 3, 1e8), 6);
    // Quantile of Student's t with one degree of freedom: -cot(pi p).
    expect(studentQuantile(0.001, 1)).toBeCloseTo(-1 / Math.tan(Math.PI * 0.001), 7);
  });
});

describe('Cochran’s test among groups', () => {
  it('rejects equal normal groups as often as it says', () => {
    const random = createRandom(33);
    const freedoms = [1, 1, 2, 2, 2, 5, 7, 3, 3, 1];
    let rejected = 0;
    const trials = 6000;
    for (let i = 0; i < trials; i++) {
      const variances = freedoms.map((df) => {
        let sum = 0;
        for (let k = 0; k < df; k++) sum += random.normal() ** 2;
        return sum / df;
      });
      if (cochranOutliers(variances, freedoms, 0.05).includes(true)) rejected++;
    }
    // 5 % of 6000 = 300, standard deviation 17; the sum over the groups' limits is an upper bound.
    expect(rejected).toBeGreaterThan(230);
    expect(rejected).toBeLessThan(355);
  });

  it('says nothing of groups without freedom, of one group, or of none', () => {
    expect(cochranOutliers([1, 900, 1], [3, 0, 3], 0.01)).toEqual([false, false, false]);
    expect(cochranOutliers([900], [3], 0.01)).toEqual([false]);
    expect(cochranOutliers([0, 0], [3, 3], 0.01)).toEqual([false, false]);
    expect(cochranOutliers([], [], 0.01)).toEqual([]);
  });
});

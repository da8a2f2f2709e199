import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { LeastSquaresFit } from '../../src/analysis/statistics/leastSquares';
import { leastSquares } from '../../src/analysis/statistics/leastSquares';
import { mean } from '../../src/analysis/statistics/quantile';

/** NIST Statistical Reference Datasets; copies in data/strd. Digits: of Norris as certified, of Pontius and Misra1a as stated beside them. */
function read(name: string): { x: number[]; y: number[] } {
  const text = readFileSync(join(import.meta.dirname, 'data', 'strd', `${name}.csv`), 'utf8');
  const rows = text.trim().split(/\r?\n/).slice(1);
  const cells = rows.map((row) => row.split(',').map(Number));
  return { x: cells.map((row) => row[1]!), y: cells.map((row) => row[0]!) };
}

function expectDigits(actual: number, certified: number, digits: number): void {
  expect(Math.abs(actual / certified - 1), `${actual} against ${certified}`).toBeLessThan(10 ** -digits);
}

describe('NIST StRD linear regression', () => {
  it('Norris: straight line', () => {
    const { x, y } = read('norris');
    const fit = leastSquares(
      x.map((value) => [1, value]),
      y,
    )!;
    expect(x.length).toBe(36);
    expectDigits(fit.coefficients[0]!, -0.262323073774029, 10);
    expectDigits(fit.coefficients[1]!, 1.00211681802045, 12);
    expectDigits(Math.sqrt(fit.residualVariance), 0.884796396144373, 12);
    const level = mean(y);
    const total = y.reduce((sum, value) => sum + (value - level) ** 2, 0);
    expectDigits(1 - fit.residualSumOfSquares / total, 0.999993745883712, 12);
    // Standard deviations of the estimates: certified values, from memory.
    expectDigits(Math.sqrt(fit.covariance[0]![0]!), 0.232818234301152, 9);
    expectDigits(Math.sqrt(fit.covariance[1]![1]!), 0.429796848199937e-3, 9);
  });

  // Digits from memory, recomputed from the data in extended precision.
  it('Pontius: load cell calibration, quadratic', () => {
    const { x, y } = read('pontius');
    const fit = leastSquares(
      x.map((value) => [1, value, value * value]),
      y,
    )!;
    expect(x.length).toBe(40);
    expectDigits(fit.coefficients[0]!, 0.673565789473684e-3, 9);
    expectDigits(fit.coefficients[1]!, 0.732059160401003e-6, 12);
    expectDigits(fit.coefficients[2]!, -0.316081871345029e-14, 9);
    expectDigits(Math.sqrt(fit.residualVariance), 0.205177424076185e-3, 10);
  });
});

describe('NIST StRD nonlinear regression', () => {
  // Misra1a: y = b1 (1 - exp(-b2 x)); data and certified values from the set, recomputed. Solved by Gauss-Newton steps, each one a
  // call of leastSquares, from the set's second start.
  const x = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
  const y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78];

  it('Misra1a: exponential', () => {
    let [b1, b2] = [250, 5e-4];
    let fit: LeastSquaresFit | undefined;
    for (let i = 0; i < 25; i++) {
      const design = x.map((value) => [1 - Math.exp(-b2 * value), b1 * value * Math.exp(-b2 * value)]);
      const rest = y.map((value, k) => value - b1 * design[k]![0]!);
      fit = leastSquares(design, rest)!;
      b1 += fit.coefficients[0]!;
      b2 += fit.coefficients[1]!;
    }
    expectDigits(b1, 238.94212918, 10);
    expectDigits(b2, 5.5015643181e-4, 10);
    expectDigits(fit!.residualSumOfSquares, 0.12455138894, 9);
  });
});

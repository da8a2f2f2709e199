import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chanceOfBend } from '../../src/analysis/shape/sideShape';
import { describe, expect, it } from 'vitest';
import { slopePValue } from '../../src/analysis/motion/stepReduction';
import {
  chiSquareQuantile,
  fQuantile,
  normalQuantile,
  studentCdf,
  studentQuantile,
  studentTwoSidedP,
} from '../../src/analysis/statistics/distributions';
import { leastSquares } from '../../src/analysis/statistics/leastSquares';
import { interpolatePchip } from '../../src/analysis/statistics/pchip';
import { quantile } from '../../src/analysis/statistics/quantile';
import { savitzkyGolay } from '../../src/analysis/statistics/savitzkyGolay';

/** Source of every expected number here: SciPy and NumPy, run by scipy/fitsAndQuantiles.py on scipy/fitsAndQuantiles.input.json. */
const FOLDER = join(import.meta.dirname, 'scipy');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8').replaceAll('\r\n', '\n');
const sha256 = (content: string): string => createHash('sha256').update(content).digest('hex');

interface Input {
  readonly series: number[];
  readonly shares: number[];
  readonly pchip: { x: number[]; y: number[]; at: number[] }[];
  readonly savitzkyGolay: { window: number; order: number; derivative: number; delta: number }[];
  readonly leastSquares: { design: number[][]; observed: number[]; weights: number[] }[];
  readonly slopes: number[][];
  readonly distributions: { probabilities: number[]; freedoms: number[]; at: number[]; pairs: [number, number][] };
}
interface Output {
  readonly input: string;
  readonly pchip: { values: number[]; slopes: number[] }[];
  readonly savitzkyGolay: number[][];
  readonly leastSquares: { coefficients: number[]; residualSumOfSquares: number; covariance: number[][] }[];
  readonly quantiles: number[];
  readonly slopes: number[];
  readonly distributions: Record<'student' | 'studentCdf' | 'chiSquare' | 'f' | 'fCdf', number[][]> & { normal: number[] };
}
const input = JSON.parse(text('fitsAndQuantiles.input.json')) as Input;
const committed = JSON.parse(text('fitsAndQuantiles.json')) as { readonly script: string; readonly values: Output };
const output = committed.values;

/** Equal to 1e-9 of the expected value; `floor` is what counts as one where the expected value itself is near zero by cancellation. */
function expectEqual(actual: ArrayLike<number>, expected: readonly number[], floor = 0, relative = 1e-9): void {
  expect(actual.length).toBe(expected.length);
  expected.forEach((value, i) => {
    const allowed = relative * Math.max(Math.abs(value), floor);
    expect(Math.abs(actual[i]! - value), `entry ${i}: ${actual[i]} against ${value}`).toBeLessThanOrEqual(allowed);
  });
}
const largest = (values: readonly number[]): number => Math.max(...values.map(Math.abs));

describe('statistics against SciPy', () => {
  it('compares with what the present script made of the present input', () => {
    expect(committed.script).toBe(sha256(text('fitsAndQuantiles.py')));
    expect(output.input).toBe(sha256(text('fitsAndQuantiles.input.json')));
  });

  it.each(input.pchip.map((_, i) => i))('PCHIP, data set %d', (i) => {
    const { x, y, at } = input.pchip[i]!;
    const curve = interpolatePchip(x, y);
    expectEqual(
      at.map((place) => curve(place).value),
      output.pchip[i]!.values,
      largest(y),
    );
    expectEqual(
      at.map((place) => curve(place).slope),
      output.pchip[i]!.slopes,
      largest(output.pchip[i]!.slopes),
    );
  });

  it.each(input.savitzkyGolay)('Savitzky-Golay, window $window, order $order, derivative $derivative', (given) => {
    const expected = output.savitzkyGolay[input.savitzkyGolay.indexOf(given)]!;
    const { window, order, derivative, delta } = given;
    expectEqual(savitzkyGolay(input.series, window, order, derivative, delta), expected, largest(expected));
  });

  it.each(input.leastSquares.map((_, i) => i))('weighted least squares, data set %d', (i) => {
    const { design, observed, weights } = input.leastSquares[i]!;
    const expected = output.leastSquares[i]!;
    const fit = leastSquares(design, observed, weights)!;
    expectEqual(fit.coefficients, expected.coefficients);
    expectEqual([fit.residualSumOfSquares], [expected.residualSumOfSquares]);
    fit.covariance.forEach((row, k) => {
      expectEqual(row, expected.covariance[k]!);
    });
  });

  it('quantiles of Student, chi-square, F and normal distributions, and their probabilities', () => {
    const { probabilities, freedoms, at, pairs } = input.distributions;
    const expected = output.distributions;
    expectEqual(probabilities.map(normalQuantile), expected.normal);
    freedoms.forEach((df, i) => {
      const student = expected.student[i]!;
      expectEqual(
        probabilities.map((p) => studentQuantile(p, df)),
        student,
      );
      expectEqual(
        at.map((t) => studentCdf(t, df)),
        expected.studentCdf[i]!,
      );
      expectEqual(
        probabilities.map((p) => chiSquareQuantile(p, df)),
        expected.chiSquare[i]!,
        0,
        df > 1000 ? 2e-6 : 1e-9, // an approximation of its own there
      );
    });
    pairs.forEach(([n, d], i) => {
      expectEqual(
        probabilities.map((p) => fQuantile(p, n, d)),
        expected.f[i]!,
      );
      if (n > 2) return;
      // On one and on two degrees of freedom the F distribution is Student's t squared, and a power: no function of its own is needed.
      const upTo = (f: number): number =>
        n === 1 ? 1 - studentTwoSidedP(Math.sqrt(f), d) : 1 - chanceOfBend(1 + (2 * f) / d, 1, d + 4);
      expectEqual(
        at.map((f) => upTo(Math.abs(f))),
        expected.fCdf[i]!,
      );
    });
  });

  it('two-sided Student probabilities keep their digits far out', () => {
    const { freedoms, at } = input.distributions;
    freedoms.forEach((df, i) => {
      const lower = at.findIndex((t) => t < -30);
      expectEqual([studentTwoSidedP(at[lower]!, df)], [2 * output.distributions.studentCdf[i]![lower]!]);
    });
  });

  it('sample quantiles', () => {
    expectEqual(
      input.shares.map((share) => quantile(input.series, share)),
      output.quantiles,
    );
  });

  it('p-values of a slope', () => {
    expectEqual(input.slopes.map(slopePValue), output.slopes);
  });
});

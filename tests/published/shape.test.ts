import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { powerLawExponent, shapeOfSide } from '../../src/analysis/shape/sideShape';
import { fitTwoSlopeLine } from '../../src/analysis/shape/twoSlopeLine';

/** Source of every expected number here: SciPy's optimiser, run by scipy/shapeFits.py on the curves of scipy/shapeFits.input.json. */
const FOLDER = join(import.meta.dirname, 'scipy');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8').replaceAll('\r\n', '\n');
const sha256 = (content: string): string => createHash('sha256').update(content).digest('hex');

interface Fit {
  readonly softness: number;
  readonly atZero: number;
  readonly low: number;
  readonly high: number;
  readonly knee: number;
  readonly residualSumOfSquares: number;
  readonly u: Readonly<Record<'atZero' | 'low' | 'knee' | 'high' | 'ratio', number>>;
  readonly pValue: number;
  readonly exponent: number;
  readonly exponentU: number;
}
const { curves } = JSON.parse(text('shapeFits.input.json')) as { curves: { speeds: number[]; forces: number[] }[] };
const committed = JSON.parse(text('shapeFits.json')) as {
  readonly script: string;
  readonly values: { readonly input: string; readonly curves: readonly Fit[] };
};

/** The committed numbers have six significant digits. */
function near(actual: number, expected: number, relative = 2e-5): void {
  expect(Math.abs(actual - expected), `${actual} against ${expected}`).toBeLessThanOrEqual(relative * Math.abs(expected));
}

describe('shape of a side against SciPy', () => {
  it('compares with what the present script made of the present input', () => {
    expect(committed.script).toBe(sha256(text('shapeFits.py')));
    expect(committed.values.input).toBe(sha256(text('shapeFits.input.json')));
    expect(committed.values.curves.length).toBe(curves.length);
  });

  it.each(curves.map((curve, i) => [i, curve, committed.values.curves[i]!] as const))(
    'curve %i: knee, slopes and sum of squares are the best that an optimiser finds, with the same uncertainties',
    (_, { speeds, forces }, expected) => {
      const weights = forces.map((force) => 1 / Math.max(Math.abs(force), 20) ** 2);
      const fit = fitTwoSlopeLine(speeds, forces, weights)!;
      near(fit.residualSumOfSquares, expected.residualSumOfSquares);
      expect(fit.softness).toBe(expected.softness);
      near(fit.knee, expected.knee, 1e-4);
      near(fit.low, expected.low, 1e-4);
      near(fit.high, expected.high, 1e-4);
      near(fit.atZero, expected.atZero, 1e-3);
      // A knee at the edge of its range is held there, and its uncertainty is that of a fit which may pass it.
      for (const name of ['atZero', 'low', 'knee', 'high', 'ratio'] as const) near(fit.u[name], expected.u[name], 2e-3);
      const shape = shapeOfSide(speeds, forces);
      if (expected.pValue > 1e-9) near(shape.pValue!, expected.pValue, 1e-3);
      const exponent = powerLawExponent(speeds, forces)!;
      near(exponent.value, expected.exponent);
      near(exponent.U, expected.exponentU);
    },
  );
});

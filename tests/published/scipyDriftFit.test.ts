import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { isChance, noiseVariance, SIGNIFICANCE } from '../../src/analysis/corrections/causeChoice';
import { fitCauses } from '../../src/analysis/corrections/causeFit';
import type { Cause } from '../../src/analysis/corrections/driftModel';
import { driftModel } from '../../src/analysis/corrections/driftModel';
import { studentTwoSidedP } from '../../src/analysis/statistics/distributions';
import { needleCurve } from '../../src/analysis/corrections/needleCurve';
import type { Side } from '../../src/analysis/side';

/** Source of every expected number here: SciPy's least_squares, PchipInterpolator and F distribution, run by scipy/driftFit.py. */
const FOLDER = join(import.meta.dirname, 'scipy');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8').replaceAll('\r\n', '\n');
const sha256 = (content: string): string => createHash('sha256').update(content).digest('hex');

interface Given {
  readonly causes: readonly Cause[];
  readonly temperature: number;
  readonly points: readonly {
    readonly side: Side;
    readonly drift: number;
    readonly reference: number;
    readonly u: number;
    readonly needles: readonly ({ readonly set: number; positions: number[]; damping: number[] } | null)[];
  }[];
}
interface Expected {
  readonly sizes: readonly number[];
  readonly residualSumOfSquares: number;
  readonly standardUncertainties: readonly number[];
  readonly chances: readonly number[];
}
const { cases } = JSON.parse(text('driftFit.input.json')) as { readonly cases: readonly Given[] };
const committed = JSON.parse(text('driftFit.json')) as {
  readonly script: string;
  readonly values: { readonly input: string; readonly cases: readonly Expected[] };
};

describe('the fit of causes to a drift, against SciPy', () => {
  it('compares with what the present script made of the present input', () => {
    expect(committed.script).toBe(sha256(text('driftFit.py')));
    expect(committed.values.input).toBe(sha256(text('driftFit.input.json')));
  });

  it.each(cases.map((_, i) => i))('sizes, uncertainties, what is left and F tests, case %d', (i) => {
    const { causes, points, temperature } = cases[i]!;
    const expected = committed.values.cases[i]!;
    const model = driftModel(
      points.map(({ needles, ...point }) => ({
        ...point,
        needles: needles.map((one) => (one === null ? undefined : needleCurve(one.positions, one.damping, one.set))),
      })),
      { value: temperature, u: 0 },
    );
    const fit = fitCauses(model, causes)!;
    expect(relative(fit.residualSumOfSquares, expected.residualSumOfSquares)).toBeLessThan(1e-8);
    causes.forEach((_, k) => {
      const u = Math.sqrt(fit.unscaledCovariance[k]![k]!);
      expect(Math.abs(fit.sizes[k]! - expected.sizes[k]!) / u).toBeLessThan(1e-4);
      expect(relative(u, expected.standardUncertainties[k]!)).toBeLessThan(1e-4);
      const without = fitCauses(
        model,
        causes.filter((__, j) => j !== k),
      )!;
      const gain = without.residualSumOfSquares - fit.residualSumOfSquares;
      // F on one degree of freedom is the square of Student's t.
      const chance = studentTwoSidedP(Math.sqrt(gain / noiseVariance(model, fit)), fit.degreesOfFreedom);
      expect(Math.abs(chance - expected.chances[k]!)).toBeLessThan(1e-6 * Math.max(expected.chances[k]!, 1e-6));
      for (const tried of [1, 6, 15])
        expect(isChance(model, without, fit, tried)).toBe(expected.chances[k]! * tried >= SIGNIFICANCE);
    });
  });
});

function relative(actual: number, expected: number): number {
  return Math.abs(actual / expected - 1);
}

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { noncentralFOnTwo, runCovariance, testChange, type SideMeans } from '../../src/analysis/significance/changeTest';

/** Source of every expected number here: NumPy and SciPy, run by scipy/changeTest.py on scipy/changeTest.input.json. */
const FOLDER = join(import.meta.dirname, 'scipy');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8').replaceAll('\r\n', '\n');
const sha256 = (content: string): string => createHash('sha256').update(content).digest('hex');

interface Input {
  readonly changes: readonly { readonly units: readonly (readonly SideMeans[])[]; readonly difference: SideMeans }[];
  readonly noncentralF: readonly (readonly [f: number, numerator: number, denominator: number, noncentrality: number])[];
}
interface Output {
  readonly input: string;
  readonly changes: readonly {
    readonly covariance: readonly (readonly number[])[];
    readonly degreesOfFreedom: number;
    readonly tSquared: number;
    readonly f: number;
    readonly pValue: number;
    readonly power: readonly number[];
  }[];
  readonly noncentralF: readonly number[];
}
const input = JSON.parse(text('changeTest.input.json')) as Input;
const committed = JSON.parse(text('changeTest.json')) as { readonly script: string; readonly values: Output };
const output = committed.values;

const near = (actual: number, expected: number): void => {
  expect(Math.abs(actual - expected), `${actual} against ${expected}`).toBeLessThanOrEqual(1e-9 * Math.abs(expected));
};

describe('the test of a change against SciPy', () => {
  it('compares with what the present script made of the present input', () => {
    expect(committed.script).toBe(sha256(text('changeTest.py')));
    expect(output.input).toBe(sha256(text('changeTest.input.json')));
  });

  it.each(input.changes.map((_, i) => i))("covariance, Hotelling's T2, p and power, data set %d", (i) => {
    const { units, difference } = input.changes[i]!;
    const expected = output.changes[i]!;
    const covariance = runCovariance(units)!;
    expect(covariance.degreesOfFreedom).toBe(expected.degreesOfFreedom);
    covariance.matrix.forEach((row, r) => {
      row.forEach((value, c) => {
        near(value, expected.covariance[r]![c]!);
      });
    });
    const test = testChange(difference, covariance)!;
    near(test.tSquared, expected.tSquared);
    near(test.f, expected.f);
    near(test.pValue, expected.pValue);
    test.power.forEach(({ probability }, k) => {
      near(probability, expected.power[k]!);
    });
  });

  it('noncentral F distribution', () => {
    input.noncentralF.forEach((given, i) => {
      const [f, numerator, denominator, noncentrality] = given;
      expect(numerator).toBe(2);
      expect(Math.abs(noncentralFOnTwo(f, denominator, noncentrality) - output.noncentralF[i]!), given.join(' ')).toBeLessThan(1e-9);
    });
  });
});

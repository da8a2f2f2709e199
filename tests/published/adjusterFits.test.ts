import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { deadFrom } from '../../src/analysis/adjusters/deadRange';
import { reachOfAdjuster } from '../../src/analysis/adjusters/reach';
import { separabilityOf } from '../../src/analysis/adjusters/separability';
import type { AdjusterSweep } from '../../src/analysis/adjusters/sweep';
import { levelsOfSweep } from '../../src/analysis/adjusters/sweep';
import { chiSquareQuantile } from '../../src/analysis/statistics/distributions';

/** Source of every expected number here: SciPy and NumPy, run by scipy/adjusterFits.py on scipy/adjusterFits.input.json. */
const FOLDER = join(import.meta.dirname, 'scipy');
const text = (name: string): string => readFileSync(join(FOLDER, name), 'utf8').replaceAll('\r\n', '\n');
const sha256 = (content: string): string => createHash('sha256').update(content).digest('hex');

interface Expected {
  readonly effect: number[];
  readonly level: number[];
  readonly levelU: number[];
  readonly changePoints: number[];
  readonly halfEffect: number;
}
type Case = AdjusterSweep & { readonly low: boolean };
const input = JSON.parse(text('adjusterFits.input.json')) as { sweeps: Case[]; matrices: number[][][] };
const { script, values } = JSON.parse(text('adjusterFits.json')) as {
  script: string;
  values: { input: string; sweeps: Expected[]; conditions: number[]; chiSquare99: number[] };
};

/** The committed numbers have nine significant digits. */
function expectNear(actual: readonly number[], expected: readonly number[], relative = 1e-8): void {
  expect(actual.length).toBe(expected.length);
  const size = Math.max(...expected.map(Math.abs));
  for (const [i, value] of expected.entries()) expect(Math.abs(actual[i]! - value)).toBeLessThanOrEqual(relative * size);
}

describe('fits of sweeps against SciPy', () => {
  it('compares with what the present script made of the present input', () => {
    expect(script).toBe(sha256(text('adjusterFits.py')));
    expect(values.input).toBe(sha256(text('adjusterFits.input.json')));
    expect(values.sweeps.length).toBe(input.sweeps.length);
  });

  it.each(input.sweeps.map((sweep, i) => [i, sweep, values.sweeps[i]!] as const))(
    'sweep %i: effect, levels and their uncertainty, change point and half-effect speed',
    (_, sweep, expected) => {
      const { effect, level, u } = levelsOfSweep(sweep, 'equal-ratio');
      expectNear(effect, expected.effect);
      expectNear(level, expected.level);
      expectNear(u, expected.levelU);
      const best = expected.changePoints.indexOf(Math.min(...expected.changePoints));
      const dead = sweep.positions[3 + best]!;
      expect(deadFrom(sweep)).toBe(dead < sweep.positions.at(-2)! ? dead : undefined);
      const reach = reachOfAdjuster(sweep);
      expect(reach.acts).toBe(sweep.low ? 'low speeds' : 'high speeds');
      // The product looks on a grid of 1 % in speed and six steepnesses, SciPy between them.
      expect(Math.abs(reach.halfEffect! / expected.halfEffect - 1)).toBeLessThan(0.02);
    },
  );

  it('condition numbers of scaled click matrices', () => {
    expectNear(
      input.matrices.map((columns) => separabilityOf(columns)!.condition),
      values.conditions,
      1e-7,
    );
    expect(values.conditions.map((condition) => condition > 30)).toEqual([false, true, true]);
    expect(separabilityOf(input.matrices[1]!)!.together).toEqual([0, 1]);
    expect(separabilityOf(input.matrices[0]!)!.together).toEqual([]);
  });

  it('the limit at which an adjuster moves anything', () => {
    expectNear([1, 8, 15].map((n) => chiSquareQuantile(0.99, n)), values.chiSquare99);
  });
});

import { describe, expect, it } from 'vitest';
import { CauseEffects } from '../../../src/analysis/corrections/causeEffects';
import { fitCauses } from '../../../src/analysis/corrections/causeFit';
import { screenedCauses } from '../../../src/analysis/corrections/causeScreen';
import type { Cause, DriftModel } from '../../../src/analysis/corrections/driftModel';
import { driftModel, effectOf, modelledDrift } from '../../../src/analysis/corrections/driftModel';
import { needleCurve } from '../../../src/analysis/corrections/needleCurve';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';

const CANDIDATES: readonly Cause[] = [
  { kind: 'gas' },
  { kind: 'friction' },
  { kind: 'needle', adjuster: 0 },
  { kind: 'temperature' },
  { kind: 'scale', side: 'compression' },
  { kind: 'scale', side: 'rebound' },
];

/** A drift of gas, friction and one side's scale with scatter; one adjuster acts on rebound. */
function randomModel(random: RandomSource): DriftModel {
  const [gas, friction, scale] = [random.uniform(-40, 40), random.uniform(-10, 10), random.uniform(-0.1, 0.1)];
  const points = (['compression', 'rebound'] as const).flatMap((side) =>
    [0.05, 0.1, 0.2, 0.4, 0.7, 1].map((v) => {
      const sign = side === 'compression' ? 1 : -1;
      const reference = sign * (100 + 900 * v);
      const positions = [0, 3, 6, 9];
      const curve = needleCurve(
        positions,
        positions.map((position) => reference * Math.exp(-0.04 * position)),
        3,
      );
      return {
        side,
        drift: gas + sign * friction + (side === 'rebound' ? scale * reference : 0) + 2 * random.normal(),
        reference,
        u: 2,
        needles: [side === 'rebound' ? curve : undefined],
      };
    }),
  );
  return driftModel(points, { value: -0.002, u: 0.0005 });
}

describe('what causes do to all points at once', () => {
  it('is what each does to each point', () => {
    const model = randomModel(createRandom(51));
    const sizes = [12, -3, 1.5, 20, 0.04, -0.07];
    const effects = new CauseEffects().begin(model, CANDIDATES);
    const sum = effects.take(sizes);
    const rests = model.points.map(
      (point) =>
        point.drift -
        modelledDrift(
          point,
          CANDIDATES.map((cause, k) => effectOf(model, point, cause, sizes[k]!)),
        ),
    );
    expect([...effects.rests]).toEqual(rests);
    expect(sum).toBeCloseTo(
      rests.reduce((total, rest, i) => total + model.weights[i]! * rest * rest, 0),
      8,
    );
  });

  it('has the derivatives of its differences', () => {
    const model = randomModel(createRandom(52));
    const sizes = [12, -3, 1.5, 20, 0.04, -0.07];
    const effects = new CauseEffects().begin(model, CANDIDATES);
    const restsAt = (k: number, change: number): number[] => {
      effects.take(sizes.with(k, sizes[k]! + change));
      return [...effects.rests];
    };
    const step = 1e-5;
    const slopes = sizes.map((_, k) => {
      const after = restsAt(k, step);
      return restsAt(k, -step).map((before, i) => (before - after[i]!) / (2 * step));
    });
    effects.take(sizes);
    const row = new Float64Array(sizes.length);
    model.points.forEach((_, i) => {
      effects.derivatives(i, row);
      row.forEach((slope, k) => {
        expect(Math.abs(slope - slopes[k]![i]!)).toBeLessThan(1e-5 * (1 + Math.abs(slope)));
      });
    });
  });
});

it('the screen tells before the fit what straight effects leave', () => {
  let told = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const model = randomModel(createRandom(seed));
    const none = fitCauses(model, [])!;
    for (const around of [none, fitCauses(model, [{ kind: 'gas' }])!])
      for (const { causes, least } of screenedCauses(model, CANDIDATES, around, around.causes.length + 1, 20)) {
        const left = fitCauses(model, causes)!.residualSumOfSquares;
        expect(left).toBeGreaterThanOrEqual(least);
        if (least === -Infinity) continue;
        expect(left - least).toBeLessThan(2e-9 * none.residualSumOfSquares + 1e-9);
        told++;
      }
  }
  expect(told).toBeGreaterThan(400);
});

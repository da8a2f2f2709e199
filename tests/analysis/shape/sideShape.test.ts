import { describe, expect, it } from 'vitest';
import { shapeOfSide } from '../../../src/analysis/shape/sideShape';
import type { ShapeKind } from '../../../src/analysis/shape/sideShape';
import { createRandom } from '../../simulator/random';
import { thorough } from '../../thorough';

const EIGHT = [50, 100, 200, 300, 500, 700, 1000, 1300].map((v) => v / 1000);
const FIFTEEN = Array.from({ length: 15 }, (_, i) => (i + 1) / 10);
const CURVES = thorough ? 1000 : 300;
const KINDS: readonly ShapeKind[] = ['digressive', 'linear', 'progressive', 'regressive'];

interface Curve {
  readonly kind: ShapeKind;
  readonly ratio: number;
  readonly knee: number;
  readonly forces: readonly number[];
}

/** Two slopes, sharp or softly joined, with relative noise: ratios, knees and forces as dampers have them (common practice). */
function randomCurve(seed: number, speeds: readonly number[], softness: number, noise: number): Curve | undefined {
  const random = createRandom(seed);
  const between = (low: number, high: number): number => random.uniform(low, high);
  const low = between(800, 6000);
  const kind = random.pick(KINDS);
  const ratio = {
    linear: 1,
    digressive: between(0.05, 0.8),
    progressive: between(1.25, 4),
    regressive: between(-0.25, -0.02),
    undecided: NaN,
  }[kind];
  const knee = between(0.15, 0.7);
  const atZero = between(20, 150);
  const s = softness * knee;
  const bend = (v: number): number => (s > 0 ? s * Math.log1p(Math.exp((v - knee) / s)) : Math.max(0, v - knee));
  const forces = speeds.map((v) => (atZero + low * v + (ratio - 1) * low * bend(v)) * (1 + noise * random.normal()));
  return forces.every((f) => f > 0) ? { kind, ratio, knee, forces } : undefined;
}

describe('shape of a side', () => {
  for (const [name, softness] of [
    ['sharp', 0],
    ['soft', 0.15],
  ] as const)
    for (const [label, speeds] of [
      ['8 speeds', EIGHT],
      ['15 speeds', FIFTEEN],
    ] as const)
      it(`is right in 99 % of ${CURVES} random curves, ${name} knee, ${label}, 1 % noise`, () => {
        let right = 0;
        let all = 0;
        let kneesNear = 0;
        let knees = 0;
        for (let seed = 1; all < CURVES; seed++) {
          const curve = randomCurve(seed, speeds, softness, 0.01);
          if (curve === undefined) continue;
          all++;
          const shape = shapeOfSide(speeds, curve.forces);
          if (shape.kind === curve.kind) right++;
          const inside = curve.knee > speeds[1]! * 1.3 && curve.knee < speeds[speeds.length - 2]! * 0.8;
          if (curve.kind === 'linear' || !inside || (curve.ratio > 0.5 && curve.ratio < 2)) continue;
          knees++;
          if (shape.knee && Math.abs(shape.knee.value / curve.knee - 1) <= 0.1) kneesNear++;
        }
        expect(right / all).toBeGreaterThanOrEqual(0.99);
        expect(kneesNear / knees).toBeGreaterThanOrEqual(0.95);
      });

  it('is undecided with five speeds or fewer, and says why', () => {
    const shape = shapeOfSide([0.13, 0.26, 0.52, 1.04, 1.3], [200, 380, 700, 1300, 1600]);
    expect(shape.kind).toBe('undecided');
    expect(shape.reason).toContain('5 speeds are too few');
  });

  it('says that the knee is below the first step where a line would start too high', () => {
    const shape = shapeOfSide(
      FIFTEEN,
      FIFTEEN.map((v) => 600 + 400 * v),
    );
    expect(shape).toMatchObject({ kind: 'digressive', kneeBelowFirstStep: true });
    expect(shape.forceAtZero?.value).toBeCloseTo(600, 6);
  });

  it('gives the exponent of a power law', () => {
    const shape = shapeOfSide(
      FIFTEEN,
      FIFTEEN.map((v) => 1500 * v ** 0.6),
    );
    expect(shape.exponent?.value).toBeCloseTo(0.6, 10);
    expect(shape.kind).toBe('digressive');
  });
});

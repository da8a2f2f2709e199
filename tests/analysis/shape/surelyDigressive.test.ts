import { describe, expect, it } from 'vitest';
import type { SideCurve } from '../../../src/analysis/shape/sideCurve';
import { sideCurve } from '../../../src/analysis/shape/sideCurve';
import { shapeOfCurve } from '../../../src/analysis/shape/sideShape';
import { softPlus } from '../../../src/analysis/shape/softPlus';
import { isSurelyDigressive } from '../../../src/analysis/shape/surelyDigressive';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';
import { thorough } from '../../thorough';

const CURVES = thorough ? 60_000 : 6_000;

interface Bounds {
  /** Slope above the knee over slope below it. */
  readonly ratio: readonly [number, number];
  /** Knee over top speed. */
  readonly knee: readonly [number, number];
  readonly softness: readonly [number, number];
  readonly noise: readonly [number, number];
  readonly points: readonly [number, number];
}

function randomSpeeds(random: RandomSource, count: number): number[] {
  const growth = random.uniform(0.8, 2.5);
  const speeds = Array.from({ length: count }, (_, i) => ((i + 1) / count) ** growth * (1 + 0.002 * random.normal()));
  if (random.uniform(0, 1) < 0.1) speeds[3] = speeds[2]!;
  return speeds;
}

function randomCurve(random: RandomSource, bounds: Bounds): SideCurve {
  const of = ([from, to]: readonly [number, number]): number => random.uniform(from, to);
  const speeds = randomSpeeds(random, Math.floor(of(bounds.points)));
  const [ratio, knee, start, noise] = [of(bounds.ratio), of(bounds.knee), random.uniform(-30, 200), of(bounds.noise)];
  const s = of(bounds.softness) * knee;
  const size = random.uniform(300, 6000);
  const damping = speeds.map(
    (v) => (start + size * (v + (ratio - 1) * s * softPlus((v - knee) / s))) * (1 + noise * random.normal()),
  );
  return sideCurve(speeds, damping, []);
}

/** Curves of a kind: how many are surely digressive, and how many of these the fit calls something else. */
function counted(random: RandomSource, count: number, bounds: Bounds): { sure: number; wrong: number } {
  let sure = 0;
  let wrong = 0;
  for (let i = 0; i < count; i++) {
    const curve = randomCurve(random, bounds);
    if (!isSurelyDigressive(curve)) continue;
    sure++;
    const { kind } = shapeOfCurve(curve);
    if (kind !== 'digressive' && kind !== 'undecided') wrong++;
  }
  return { sure, wrong };
}

describe('a curve that is surely digressive', () => {
  it('is called so by the fit, whatever curve it is', () => {
    const random = createRandom(71);
    const anything: Bounds = {
      ratio: [-0.6, 1.6],
      knee: [0.02, 1],
      softness: [0.005, 0.6],
      noise: [0, 0.08],
      points: [6, 20],
    };
    const { sure, wrong } = counted(random, CURVES, anything);
    expect(wrong).toBe(0);
    expect(sure).toBeGreaterThan(CURVES / 50);
  });

  it('is called so by the fit next to what is not: nearly flat or falling above the knee, nearly straight, a knee far up', () => {
    const random = createRandom(72);
    const rest = { softness: [0.01, 0.4], noise: [0, 0.02], points: [6, 16] } as const;
    const borders: readonly Bounds[] = [
      { ...rest, ratio: [-0.1, 0.05], knee: [0.03, 0.6] },
      { ...rest, ratio: [0.7, 0.9], knee: [0.03, 0.6] },
      { ...rest, ratio: [-0.2, 0.5], knee: [0.5, 1] },
    ];
    for (const bounds of borders) expect(counted(random, CURVES / 2, bounds).wrong).toBe(0);
  });

  it('is most digressive curves of a usual damper, of twelve speeds', () => {
    const random = createRandom(73);
    const usual: Bounds = {
      ratio: [0.08, 0.2],
      knee: [0.1, 0.2],
      softness: [0.1, 0.3],
      noise: [0.003, 0.01],
      points: [12, 13],
    };
    const count = CURVES / 10;
    expect(counted(random, count, usual).sure).toBeGreaterThan(0.8 * count);
  });

  it('is none of five speeds, nor one without a single force', () => {
    const speeds = [0.05, 0.1, 0.2, 0.4, 0.8];
    expect(isSurelyDigressive(sideCurve(speeds, [100, 200, 250, 300, 350], []))).toBe(false);
    expect(isSurelyDigressive(sideCurve([...speeds, 1, 1.2], [0, 0, 0, 0, 0, 0, 0], []))).toBe(false);
    expect(isSurelyDigressive(sideCurve([], [], []))).toBe(false);
  });
});

import { describe, expect, it } from 'vitest';
import { Roughness } from '../../../src/analysis/loops/roughness';
import { createRandom } from '../../simulator/random';
import { exactCycle } from './exactCycle';

function meanSquare(
  drive: 'sine' | 'triangle',
  force: (x: number, v: number, t: number) => number,
  cycles = 40,
): number {
  const rough = new Roughness();
  for (let i = 0; i < cycles; i++)
    rough.add(
      exactCycle({ drive, amplitude: 0.025, frequency: 1, samplesPerCycle: 1000, force, shift: i / cycles }),
      'rebound',
    );
  return rough.result().meanSquare;
}

describe('roughness of force', () => {
  it.each(['sine', 'triangle'] as const)(
    'equals the variance of white noise on a %s drive, whatever the loop',
    (drive) => {
      const random = createRandom(3);
      expect(meanSquare(drive, (x, v) => 300 + 2000 * x + 1500 * v + 6 * random.normal())).toBeCloseTo(36, -0.5);
    },
  );

  it('is nothing for a smooth loop', () => {
    expect(meanSquare('sine', (x, v) => 300 + 2000 * x + 1500 * v)).toBeLessThan(0.1);
  });

  it('holds chatter', () => {
    expect(
      meanSquare('sine', (_, v, t) => 1500 * v + 10 * Math.SQRT2 * Math.sin(2 * Math.PI * 120 * t)),
    ).toBeGreaterThan(60);
  });

  it('has no value without samples, and merges by samples', () => {
    const empty = new Roughness();
    expect(empty.result()).toEqual({ meanSquare: NaN, samples: 0 });
    const one = new Roughness();
    one.add(
      exactCycle({ drive: 'sine', amplitude: 0.025, frequency: 1, samplesPerCycle: 1000, force: (_, v) => v }),
      'rebound',
    );
    empty.merge(one);
    expect(empty.result()).toEqual(one.result());
  });
});

import { describe, expect, it } from 'vitest';
import { runCovariance, testChange } from '../../../src/analysis/significance/changeTest';
import type { SideMeans } from '../../../src/analysis/significance/changeTest';
import { createRandom } from '../../simulator/random';
import type { RandomSource } from '../../simulator/random';

const SPEEDS = Array.from({ length: 15 }, (_, i) => (i + 1) / 10);
const REFERENCE = {
  compression: SPEEDS.map((v) => 350 * Math.tanh(v / 0.12) + 700 * v),
  rebound: SPEEDS.map((v) => 700 * Math.tanh(v / 0.12) + 900 * v),
};
/** Damping lost a kelvin, and a click's effect that fades with speed: sizes as dampers have them (common practice). */
const LOSS_PER_KELVIN = 0.0015;
const CLICK_EFFECT = SPEEDS.map((v) => 0.04 / (1 + (v / 0.45) ** 4));

/** Side means of one complete run of an unchanged damper: run gain 0.3 %, zero 3 N, 3 K, 0.1 click of backlash, cycle scatter 0.2 %. */
function unchangedRun(random: RandomSource, change = 0): SideMeans {
  const gain = 0.003 * random.normal();
  const zero = 3 * random.normal();
  const kelvin = 3 * random.normal();
  const mean = (forces: readonly number[], sign: 1 | -1): number => {
    const backlash = 0.1 * random.normal();
    const drift = forces.map((force, i) => {
      const factor = (1 + gain + change) * (1 - LOSS_PER_KELVIN * kelvin) * (1 - CLICK_EFFECT[i]! * backlash);
      return (force * factor * (1 + 0.002 * random.normal()) + sign * zero) / force - 1;
    });
    return drift.reduce((sum, d) => sum + d, 0) / drift.length;
  };
  return [mean(REFERENCE.compression, 1), mean(REFERENCE.rebound, -1)];
}

function shareCalled(change: number, count: number): { share: number; stated: number } {
  const random = createRandom(31);
  let called = 0;
  let stated = 0;
  for (let i = 0; i < count; i++) {
    const repeats = [0, 1, 2].map(() => Array.from({ length: 5 }, () => unchangedRun(random)));
    const covariance = runCovariance(repeats)!;
    const before = unchangedRun(random);
    const after = unchangedRun(random, change);
    const test = testChange([after[0] - before[0], after[1] - before[1]], covariance)!;
    if (test.significant) called++;
    stated += test.power.find((entry) => entry.change === change)?.probability ?? 0;
  }
  return { share: called / count, stated: stated / count };
}

describe('change between builds', () => {
  it('calls 5 +- 1 % of 10,000 unchanged rebuilds changed', () => {
    const { share } = shareCalled(0, 10_000);
    expect(share).toBeGreaterThan(0.04);
    expect(share).toBeLessThan(0.06);
  });

  it('meets the power that it states for 1, 2 and 5 %', () => {
    for (const change of [0.01, 0.02, 0.05]) {
      const { share, stated } = shareCalled(change, 2000);
      expect(Math.abs(share - stated)).toBeLessThan(0.05);
    }
  });

  it('abstains without two degrees of freedom', () => {
    expect(runCovariance([[[0.01, 0.02]], [[0, 0.01]]])).toBeUndefined();
    const two: SideMeans[] = [
      [0.01, 0.02],
      [0, 0.01],
    ];
    expect(runCovariance([two])).toBeUndefined();
  });
});

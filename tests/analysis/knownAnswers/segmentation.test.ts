import { describe, expect, it } from 'vitest';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { createRandom } from '../../simulator/random';
import type { PlanOverrides } from '../../simulator/randomCases';
import { chunksOf } from '../../simulator/sampleChunks';
import { matchSteps, simulateBench, simulateLog, stepFaults } from './simulatedLogs';
import { thorough } from '../../thorough';

async function faultsOf(first: number, count: number, overrides: PlanOverrides): Promise<string[]> {
  const faults: string[] = [];
  for (let seed = first; seed < first + count; seed++) faults.push(...stepFaults(await simulateLog(seed, overrides)));
  return faults;
}

/** Each 50 dampers; the 200 whose plans are wholly random are those of randomDampers.test.ts. */
const counted = (few: number, many: number): number => (thorough ? many : few);

describe('no step of a random simulated log is lost and none invented', () => {
  it('short cycles of 25 samples', async () => {
    const overrides = { leastSamplesPerCycle: 25, sampleRate: 1000 };
    expect(await faultsOf(3000, counted(3, 50), overrides)).toEqual([]);
  });

  it('two cycles a step', async () => {
    expect(await faultsOf(4000, counted(3, 50), { cycles: 2 })).toEqual([]);
  });

  it('neighbouring steps 4 % apart, straight on or by a ramp', async () => {
    const velocities = Array.from({ length: 10 }, (_, i) => 0.2 * 1.04 ** i);
    for (const dwell of ['none', 'ramp'] as const) {
      const overrides = { velocities, dwell, stroke: 0.05, sampleRate: 2000 };
      expect(await faultsOf(5000, counted(3, 50), overrides)).toEqual([]);
    }
  });

  it('up and down again: the speeds of the way down are steps of their own', async () => {
    const velocities = [0.1, 0.3, 0.6, 0.3, 0.1];
    expect(await faultsOf(6000, counted(4, 50), { velocities, sampleRate: 1000, stroke: 0.06 })).toEqual([]);
  });

  it.each([0.02e-3, 0.05e-3])('white noise of %d m on displacement', async (noise) => {
    const faults: string[] = [];
    for (let seed = 7000; seed < 7000 + counted(4, 50); seed++) {
      const { run, bench } = simulateBench(seed, { sampleRate: noise > 3e-5 ? 2000 : 1000 });
      const random = createRandom(seed);
      const displacement = Float64Array.from(
        run.displacement,
        (x) => Math.round((x + noise * random.normal()) * 1e5) / 1e5,
      );
      const noisy = { ...run, displacement };
      const log = await reduceLog(chunksOf(noisy, 5000), { adjusters: 0 });
      if (!matchSteps({ run, log }))
        faults.push(`seed ${seed} at ${bench.sampleRate} Hz: ${log.steps.length} of ${run.truth.length}`);
      expect(log.displacementNoise / noise).toBeGreaterThan(0.9);
    }
    expect(faults).toEqual([]);
  });
});

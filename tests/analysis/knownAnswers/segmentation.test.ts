import { describe, expect, it } from 'vitest';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { createRandom } from '../../simulator/random';
import type { PlanOverrides } from '../../simulator/randomCases';
import { chunksOf } from '../../simulator/sampleChunks';
import { matchSteps, simulateBench, simulateLog, thorough } from './simulatedLogs';

/** Every step of the plan is there once, in order, at its speed, with all its cycles, its drive and frequency; and nothing is complained of. */
async function faultsOf(first: number, count: number, overrides: PlanOverrides = {}): Promise<string[]> {
  const faults: string[] = [];
  for (let seed = first; seed < first + count; seed++) {
    const simulated = await simulateLog(seed, overrides);
    const { name, run, log } = simulated;
    if (log.events.length > 0) faults.push(`${name}: ${JSON.stringify(log.events[0])}`);
    const pairs = matchSteps(simulated);
    if (pairs === undefined) {
      const speeds = log.steps.map((step) => step.compression.peakSpeed.toFixed(4)).join(' ');
      faults.push(`${name}: found ${speeds}, planned ${run.truth.map((truth) => truth.velocity).join(' ')}`);
      continue;
    }
    for (const { step, truth } of pairs) {
      const planned = truth.energy.length;
      // A ramp's cycle within 2.5 % of a step may join it as its first; it is then the one left out as settling.
      const most = run.plan.dwell.mode === 'ramp' ? planned + 1 : planned;
      if (step.cyclesFound < planned || step.cyclesFound > most) {
        faults.push(`${name}: ${step.cyclesFound} cycles of ${planned} at ${truth.velocity}`);
      }
      if (step.drive !== run.plan.drive) faults.push(`${name}: ${step.drive} at ${truth.velocity}`);
      if (Math.abs(step.frequency / truth.frequency - 1) > 0.005)
        faults.push(`${name}: frequency at ${truth.velocity}`);
      if (Math.abs((2 * step.amplitude) / truth.stroke - 1) > 0.01) faults.push(`${name}: stroke at ${truth.velocity}`);
    }
  }
  return faults;
}
const counted = (few: number, many: number): number => (thorough ? many : few);

describe('steps of random simulated logs', () => {
  it('no step is lost and none invented, whatever the drive, dwell, start, noise and drift', async () => {
    expect(await faultsOf(1000, counted(15, 1000))).toEqual([]);
  });

  it('short cycles of 25 samples', async () => {
    const overrides = { leastSamplesPerCycle: 25, sampleRate: 1000 };
    expect(await faultsOf(3000, counted(5, 150), overrides)).toEqual([]);
  });

  it('two cycles a step', async () => {
    expect(await faultsOf(4000, counted(5, 150), { cycles: 2 })).toEqual([]);
  });

  it('neighbouring steps 4 % apart, straight on or by a ramp', async () => {
    const velocities = Array.from({ length: 10 }, (_, i) => 0.2 * 1.04 ** i);
    for (const dwell of ['none', 'ramp'] as const) {
      const overrides = { velocities, dwell, stroke: 0.05, sampleRate: 2000 };
      expect(await faultsOf(5000, counted(4, 100), overrides)).toEqual([]);
    }
  });

  it('up and down again: the speeds of the way down are steps of their own', async () => {
    const velocities = [0.1, 0.3, 0.6, 0.3, 0.1];
    expect(await faultsOf(6000, counted(6, 100), { velocities, sampleRate: 1000, stroke: 0.06 })).toEqual([]);
  });

  it.each([0.02e-3, 0.05e-3])('white noise of %d m on displacement', async (noise) => {
    const faults: string[] = [];
    for (let seed = 7000; seed < 7000 + counted(6, 100); seed++) {
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

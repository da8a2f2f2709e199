import { describe, expect, it } from 'vitest';
import { constantForce } from '../../../src/analysis/gas/constantForce';
import type { RunStep } from '../../../src/analysis/loops/runSteps';
import { stepsOfRun } from '../../../src/analysis/loops/runSteps';
import { mean, standardDeviation, successiveDeviation } from '../../../src/analysis/statistics/quantile';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';
import { GAS_AT_MIDDLE, runPlain } from '../plainDamper';

const NOISE = 5;

/** The same steps with white noise on every cycle's forces. */
function noisy(steps: readonly RunStep[], random: RandomSource): RunStep[] {
  const log = { ...steps[0]!.log };
  return steps.map((run) => {
    const { step } = run;
    const force = {
      compression: step.cycles.compressionForce.map((f) => f + NOISE * random.normal()),
      rebound: step.cycles.reboundForce.map((f) => f + NOISE * random.normal()),
    };
    const side = (name: 'compression' | 'rebound') => {
      const used = force[name].subarray(step.cycles.firstUsed);
      const scatter = { cycleSpread: standardDeviation(used), cycleScatter: successiveDeviation(used) };
      return { ...step[name], force: mean(used), ...scatter, fitVariance: NOISE ** 2 };
    };
    const cycles = { ...step.cycles, compressionForce: force.compression, reboundForce: force.rebound };
    return { ...run, log, step: { ...step, cycles, compression: side('compression'), rebound: side('rebound') } };
  });
}

describe('constant force', () => {
  it('is the median over cycles of half the sum of both sides', async () => {
    const { log } = await runPlain({ velocities: [0.1, 0.3, 0.6] });
    // Half the difference of 2000 and 3000 N s/m is -500 N s/m: gas less 50, 150 and 300 N; the median is the middle step's.
    const steps = stepsOfRun([log], [[]], () => false);
    expect(Math.abs(constantForce(steps).force - (GAS_AT_MIDDLE - 150))).toBeLessThan(0.3);
    expect(constantForce([]).force).toBeNaN();
  });

  // With three steps the median lies within one of them; with four between two, at the outermost cycles of each.
  it.each([3, 4])('states the scatter that its median has, %d steps', async (count) => {
    const { log } = await runPlain({ velocities: [0.1, 0.3, 0.6, 0.9].slice(0, count), cycles: 6 });
    const steps = stepsOfRun([log], [[]], () => false);
    const truth = constantForce(steps).force;
    const random = createRandom(8);
    const pulls: number[] = [];
    for (let i = 0; i < 500; i++) {
      const { force, u } = constantForce(noisy(steps, random));
      pulls.push((force - truth) / u);
    }
    const meanSquare = mean(pulls.map((p) => p * p));
    expect(meanSquare).toBeGreaterThan(0.6);
    expect(meanSquare).toBeLessThan(1.3);
  });
});

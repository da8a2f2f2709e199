import { describe, expect, it } from 'vitest';
import { fitStaticLog } from '../../../src/analysis/gas/staticLog';
import type { StaticFit } from '../../../src/analysis/gas/staticLog';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { PERFECT_BENCH } from '../../simulator/bench';
import type { SimulatedDamper } from '../../simulator/damper';
import { gasForce } from '../../simulator/gasSpring';
import { createRandom } from '../../simulator/random';
import { randomDamper } from '../../simulator/randomCases';
import { runBench } from '../../simulator/runBench';
import { chunksOf } from '../../simulator/sampleChunks';
import { thorough } from '../../thorough';

const BENCH = { ...PERFECT_BENCH, sampleRate: 200, forceNoise: 2, displacementStep: 1e-5 };
const MID = 0.05;
const TEMPERATURE = 303.15;
const DAMPERS = thorough ? 200 : 20;

async function fitted(damper: SimulatedDamper, speeds: readonly number[], seed: number): Promise<StaticFit> {
  const steps = speeds.map((velocity) => ({ velocity, stroke: 0.04, cycles: 2, setting: {} }));
  const dwell = { mode: 'hold', duration: 0.5 } as const;
  const plan = { drive: 'triangle', steps, midPosition: MID, dwell, startPhase: 0, trailingPhase: 0.02 } as const;
  const run = runBench(damper, plan, BENCH, { seed, startTemperature: TEMPERATURE });
  const fit = fitStaticLog(await reduceLog(chunksOf(run, 20_000), { adjusters: 0 }));
  if (fit === undefined) throw new Error('the static log was not fitted');
  return fit;
}

describe('a static log, speeds as benches creep (common practice)', () => {
  const random = createRandom(20_261_126);
  const dampers = Array.from({ length: DAMPERS }, () => randomDamper(random));

  it('at three speeds: gas within 3 % or 8 N, friction within 20 % or 8 N, whatever the valves of the two sides', async () => {
    let right = 0;
    for (const [seed, damper] of dampers.entries()) {
      const fit = await fitted(damper, [0.0025, 0.005, 0.01], seed);
      const gas = gasForce(damper.gas!, MID, TEMPERATURE);
      const gasRight = Math.abs(fit.model.force - gas) <= Math.max(8, 0.03 * gas);
      const frictionRight = Math.abs(fit.friction - damper.friction) <= Math.max(8, 0.2 * damper.friction);
      if (gasRight && frictionRight) right++;
    }
    expect(right / DAMPERS).toBeGreaterThanOrEqual(0.99);
  });

  it('at one speed holds the valves for friction, and says so by its uncertainty', async () => {
    for (const [seed, damper] of dampers.slice(0, 10).entries()) {
      const fit = await fitted(damper, [0.01], seed);
      expect(fit.friction).toBeGreaterThan(damper.friction);
      expect(fit.friction - 2 * fit.frictionU).toBeLessThan(damper.friction);
    }
  });
});

import { describe, expect, it } from 'vitest';
import { SIDES } from '../../../src/analysis/side';
import { mean } from '../../../src/analysis/statistics/quantile';
import { meanOfUsedCycles } from '../../simulator/truth';
import { analyseReduced, matchSteps, simulateLog, speedThird, thorough, trueForce } from './simulatedLogs';

/**
 * Truth is the same simulation without noise and quantisation, lag included. Force within the larger of 0.5 % and 3 N in at least 99 % of
 * points, unbiased within 0.2 % or 1 N in each stratum of drive, side and speed third; energy within 0.5 %.
 */
describe('force at peak speed and energy of random simulated dampers', () => {
  it('are what the simulation knows', async () => {
    const strata = new Map<string, { error: number[]; force: number[] }>();
    const outside: string[] = [];
    let points = 0;
    const energy = { sine: 0, sineOutside: 0, triangle: 0, triangleOutside: 0 };
    for (let seed = 1000; seed < 1000 + (thorough ? 200 : 25); seed++) {
      const simulated = await simulateLog(seed);
      const { name, run, bench, log, damper } = simulated;
      const analysis = analyseReduced(log, damper);
      matchSteps(simulated)!.forEach(({ truth }, index, all) => {
        for (const side of SIDES) {
          const force = trueForce(truth, side);
          const point = analysis.points.find(({ key, side: of }) => key.step === index && of === side)!;
          const error = point.force - force;
          points++;
          if (!(Math.abs(error) <= Math.max(0.005 * Math.abs(force), 3))) {
            outside.push(`${name}, ${side} at ${truth.velocity}: off by ${error.toFixed(2)} of ${force.toFixed(0)} N`);
          }
          const key = `${run.plan.drive} ${side} third ${speedThird(index, all.length)}`;
          const stratum = strata.get(key) ?? { error: [], force: [] };
          strata.set(key, stratum);
          stratum.error.push(error);
          stratum.force.push(Math.abs(force));
        }
        const { drive } = run.plan;
        if (drive === 'triangle' && bench.sampleRate / truth.frequency < 100) return;
        const off = Math.abs(analysis.loops[index]!.energy / meanOfUsedCycles(truth.energy) - 1) > 0.005;
        if (drive === 'sine') energy.sine++;
        else energy.triangle++;
        if (off && drive === 'sine') energy.sineOutside++;
        if (off && drive === 'triangle') energy.triangleOutside++;
      });
    }
    expect(points).toBeGreaterThan(300);
    expect(outside.length, outside.join('\n')).toBeLessThanOrEqual(0.01 * points);
    expect(strata.size).toBe(12);
    for (const [key, { error, force }] of strata) {
      const bias = Math.abs(mean(error));
      expect(bias, `${key}: bias ${bias.toFixed(2)} N`).toBeLessThan(Math.max(1, 0.002 * mean(force)));
    }
    expect(energy.sine).toBeGreaterThan(60);
    expect(energy.sineOutside).toBe(0);
    expect(energy.triangle).toBeGreaterThan(30);
    expect(energy.triangleOutside).toBeLessThanOrEqual(0.01 * energy.triangle);
  });
});

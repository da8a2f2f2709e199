import { describe, expect, it } from 'vitest';
import { fitSlowSamples } from '../../../src/analysis/gas/fitSlowSamples';
import { SlowSampleSums } from '../../../src/analysis/gas/slowSamples';
import { createRandom } from '../../simulator/random';
import { exactCycle } from '../loops/exactCycle';
import type { ExactMotion } from '../loops/exactCycle';

const ROD = (Math.PI * 0.018 ** 2) / 4;
/** 40 mm/s peak over 50 mm: slow enough for many slow samples. */
const CREEP: ExactMotion = {
  drive: 'sine',
  amplitude: 0.025,
  frequency: 0.04 / (2 * Math.PI * 0.025),
  samplesPerCycle: 4000,
  displacementZero: -0.003,
  force: (x, v) => 350 + 1800 * x + Math.sign(v) * 30 + (v > 0 ? 900 : 2400) * v,
};

function sums(motion: ExactMotion, cycles = 1): SlowSampleSums {
  const gathered = new SlowSampleSums();
  for (let i = 0; i < cycles; i++) gathered.add(exactCycle({ ...motion, shift: i / cycles }));
  return gathered;
}

describe('gas and friction from slow samples', () => {
  it('gives gas at mid-stroke, its slope and friction of a straight law exactly', () => {
    const fit = fitSlowSamples(
      sums({ ...CREEP, force: (x, v) => 350 + Math.sign(v) * 30 + 2400 * v + 0 * x }).finish(),
      undefined,
      0,
    )!;
    expect(fit.model.force).toBeCloseTo(350, 6);
    expect(fit.model.rate).toBeCloseTo(0, 4);
    expect(fit.friction).toBeCloseTo(30, 6);
    const sloped = fitSlowSamples(sums(CREEP).finish(), undefined, 0)!;
    expect(Math.abs(sloped.model.force - 350)).toBeLessThan(1);
    expect(Math.abs(sloped.model.rate / 1800 - 1)).toBeLessThan(0.02);
    expect(Math.abs(sloped.friction - 30)).toBeLessThan(1);
  });

  it('follows the gas law between the ends where the rod is known', () => {
    const volume = 90e-6;
    const law = (x: number): number => (13e5 * (volume / (volume - ROD * (0.04 + x))) ** 1.3 - 101_325) * ROD;
    const slow = sums({ ...CREEP, force: (x, v) => law(x) + Math.sign(v) * 20 + 1000 * v }).finish();
    const curved = fitSlowSamples(slow, ROD, 0)!;
    const straight = fitSlowSamples(slow, undefined, 0)!;
    expect(Math.abs(curved.model.force - law(0))).toBeLessThan(0.3);
    expect(Math.abs(straight.model.force - law(0))).toBeGreaterThan(0.5);
    const rate = (law(1e-5) - law(-1e-5)) / 2e-5;
    expect(Math.abs(curved.model.rate / rate - 1)).toBeLessThan(0.01);
    expect(curved.model.at(0.02) - law(0.02)).toBeCloseTo(0, 0);
  });

  it('keeps gas right where one branch has lost its valve force', () => {
    const withVoid = sums({
      ...CREEP,
      force: (x, v) => 350 + Math.sign(v) * 30 + (v > 0 && x < 0 ? 0 : 2400) * v,
    }).finish();
    const fit = fitSlowSamples(withVoid, undefined, 0)!;
    expect(fit.model.force).toBeCloseTo(350, 6);
    expect(fit.friction).toBeCloseTo(30, 6);
  });

  it('takes the moving mass off the slope of gas', () => {
    const omega = 2 * Math.PI * CREEP.frequency;
    const mass = 500;
    const slow = sums({
      ...CREEP,
      force: (x, v) => 350 + 1000 * x - mass * omega ** 2 * x + 30 * Math.sign(v),
    }).finish();
    const fit = fitSlowSamples(slow, undefined, mass * omega ** 2)!;
    expect(fit.model.rate).toBeCloseTo(1000, 6);
    expect(fitSlowSamples(slow, undefined, 0)!.model.rate).toBeCloseTo(1000 - mass * omega ** 2, 6);
  });

  it('tells from noise how far scatter goes', () => {
    const random = createRandom(11);
    const pulls: number[] = [];
    for (let i = 0; i < 60; i++) {
      const slow = sums(
        { ...CREEP, samplesPerCycle: 1500, force: (_, v) => 350 + Math.sign(v) * 30 + 900 * v + 8 * random.normal() },
        3,
      ).finish();
      const fit = fitSlowSamples(slow, undefined, 0)!;
      pulls.push((fit.friction - 30) / fit.frictionScatter, (fit.model.force - 350) / fit.gasScatter);
    }
    const meanSquare = pulls.reduce((sum, p) => sum + p * p, 0) / pulls.length;
    expect(meanSquare).toBeGreaterThan(0.6);
    expect(meanSquare).toBeLessThan(1.5);
  });

  it('gives nothing where an end has fewer than 20 samples', () => {
    expect(
      fitSlowSamples(sums({ ...CREEP, frequency: 10, samplesPerCycle: 500 }).finish(), undefined, 0),
    ).toBeUndefined();
    expect(fitSlowSamples(sums({ ...CREEP, drive: 'triangle' }).finish(), undefined, 0)).toBeUndefined();
    expect(fitSlowSamples(new SlowSampleSums().finish(), undefined, 0)).toBeUndefined();
  });

  it('merges to the same as gathering at once', () => {
    const a = sums(CREEP);
    a.merge(sums({ ...CREEP, shift: 0 }));
    const both = new SlowSampleSums();
    both.add(exactCycle({ ...CREEP, shift: 0 }));
    both.add(exactCycle({ ...CREEP, shift: 0 }));
    expect(a.finish().positive.samples).toBe(both.finish().positive.samples);
    Array.from(a.finish().normal).forEach((value, i) => {
      expect(value).toBeCloseTo(both.finish().normal[i]!, 9);
    });
  });
});

import { describe, expect, it } from 'vitest';
import { fitStaticLog } from '../../../src/analysis/gas/staticLog';
import type { ReducedLog } from '../../../src/analysis/reducedLog';
import type { RunAnalysis } from '../../../src/analysis/runAnalysis';
import type { PlainTest } from '../plainDamper';
import { analysePlain, GAS_AT_MIDDLE, MIDDLE, RATE_AT_MIDDLE, runPlain } from '../plainDamper';

/** Fast steps alone: without the static log nothing tells gas from friction. */
const FAST: PlainTest = { velocities: [0.6, 0.9], bench: { sampleRate: 1000 }, cycles: 3 };
const SLOW: PlainTest = {
  velocities: [0.005, 0.01],
  plan: { drive: 'triangle' },
  cycles: 2,
  bench: { sampleRate: 200 },
};

async function withStatic(test: PlainTest): Promise<{ analysis: RunAnalysis; slow: ReducedLog }> {
  const { log } = await runPlain(FAST);
  const { log: slow } = await runPlain(test);
  return { analysis: analysePlain([log, slow], { kinds: ['staircase', 'static'] }), slow };
}

describe('gas and friction from a static log', () => {
  it('says nothing without one', async () => {
    const { gas } = analysePlain([(await runPlain(FAST)).log]);
    expect(gas.source).toBe('none');
    expect(gas.friction).toBeUndefined();
  });

  it('half the sum of both directions is gas, half the difference friction, both towards rest: valves add to them with speed', async () => {
    const { analysis } = await withStatic(SLOW);
    const { gas, points } = analysis;
    expect(gas.source).toBe('static');
    expect(Math.abs(gas.force - GAS_AT_MIDDLE)).toBeLessThan(0.3);
    expect(gas.rate! / RATE_AT_MIDDLE).toBeCloseTo(1, 1.7);
    expect(Math.abs(gas.friction! - 40)).toBeLessThan(0.2);
    // The static log gives no points; those of the staircase are 2000 and 3000 N s/m and friction.
    expect(points.map((p) => [p.key.log, p.side])).toEqual([
      [0, 'compression'],
      [0, 'rebound'],
      [0, 'compression'],
      [0, 'rebound'],
    ]);
    const expected = [2000 * 0.6 + 40, -(3000 * 0.6 + 40), 2000 * 0.9 + 40, -(3000 * 0.9 + 40)];
    points.forEach((p, i) => {
      expect(Math.abs(p.damping - expected[i]!)).toBeLessThan(1.5);
    });
  });

  it('one speed leaves the valves in both, and says so in the uncertainties', async () => {
    const { gas } = (await withStatic({ ...SLOW, velocities: [0.01, 0.01] })).analysis;
    // 2000 and 3000 N s/m at 10 mm/s: half the sum of 20 and 30 N in friction, half the difference in gas.
    expect(Math.abs(gas.friction! - 65)).toBeLessThan(0.5);
    expect(Math.abs(gas.force - (GAS_AT_MIDDLE - 5))).toBeLessThan(0.6);
    // Friction lies anywhere from 0 to 65 N: 65 / sqrt 3. Gas: half of 65 N x 10 / 15, over sqrt 3, beside 1 N of its own, and up to
    // 10 % of 338 N that moving adds, over sqrt 3, since no gas volume is stated.
    expect(gas.frictionU).toBeCloseTo(37.5, 0);
    expect(gas.u).toBeCloseTo(Math.hypot(12.5, 33.8 / Math.sqrt(3)), 0);
  });

  it('is read at the mid-stroke of the test where it was taken about another one', async () => {
    const shifted = {
      ...SLOW,
      plan: { ...SLOW.plan, midPosition: MIDDLE + 0.01 },
      bench: { sampleRate: 200, displacementZero: 0.01 },
    };
    const { analysis } = await withStatic(shifted);
    expect(analysis.gas.source).toBe('static');
    expect(Math.abs(analysis.gas.force - GAS_AT_MIDDLE)).toBeLessThan(1.5);
  });

  it('is not used where the test runs outside it, or where it moved too fast', async () => {
    const away = {
      ...SLOW,
      stroke: 0.01,
      plan: { ...SLOW.plan, midPosition: 0.08 },
      bench: { sampleRate: 200, displacementZero: 0.04 },
    };
    expect((await withStatic(away)).analysis.gas.source).toBe('none');
    const { analysis, slow } = await withStatic({ ...SLOW, velocities: [0.02, 0.05], bench: { sampleRate: 1000 } });
    expect(fitStaticLog(slow)).toBeUndefined();
    expect(analysis.gas.source).toBe('none');
  });

  it('a static log driven by a sine is read by its slow samples', async () => {
    const { analysis } = await withStatic({ velocities: [0.03, 0.05], bench: { sampleRate: 1000 }, cycles: 3 });
    expect(analysis.gas.source).toBe('static');
    expect(Math.abs(analysis.gas.force - GAS_AT_MIDDLE)).toBeLessThan(1);
    expect(Math.abs(analysis.gas.friction! - 40)).toBeLessThan(1);
  });
});

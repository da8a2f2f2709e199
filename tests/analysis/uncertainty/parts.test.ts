import { describe, expect, it } from 'vitest';
import type { MeasuredPoint, RunAnalysis, UncertaintyPart } from '../../../src/analysis/runAnalysis';
import { expandUncertainty } from '../../../src/analysis/uncertainty/expand';
import { analysePlain, GAS_AT_MIDDLE, runPlain } from '../plainDamper';

/** Expanded (k = 2): 5 N, 0.2 %, 0.1 mm, 0.2 ms. */
const BENCH = { loadCellU: 5, loadCellRelativeU: 0.002, displacementU: 1e-4, skewU: 2e-4 };

function pointAt({ points }: RunAnalysis, speed: number, side: MeasuredPoint['side']): MeasuredPoint {
  return points.find((p) => Math.abs(p.speed / speed - 1) < 0.01 && p.side === side)!;
}
const u = ({ uncertainty }: MeasuredPoint, name: UncertaintyPart['name']): number =>
  uncertainty.parts.find((part) => part.name === name)?.u ?? 0;

describe('parts of the uncertainty, worked out by hand', () => {
  it('load cell, displacement and time skew from the bench, halved as k = 2', async () => {
    const { log } = await runPlain({ bench: { forceNoise: 1 } });
    const analysis = analysePlain([log], { bench: BENCH });
    const inward = pointAt(analysis, 0.3, 'compression');
    const outward = pointAt(analysis, 0.3, 'rebound');
    // Force: 342.9 + 40 + 2000 x 0.3 = 982.9 N, and 342.9 - 40 - 3000 x 0.3 = -597.1 N.
    expect(u(inward, 'load cell')).toBeCloseTo(Math.hypot(2.5, 0.001 * 982.9), 2);
    expect(u(outward, 'load cell')).toBeCloseTo(Math.hypot(2.5, 0.001 * 597.1), 2);
    // Amplitude of 25 mm to 0.05 mm / sqrt 2: 0.1414 % of 600 N is 0.8485 N; gas of 1045 N/m over 0.05 mm is 0.052 N.
    expect(u(inward, 'displacement')).toBeCloseTo(Math.hypot(0.8485, 0.052), 1.7);
    expect(u(outward, 'displacement')).toBeCloseTo(Math.hypot(1.5 * 0.8485, 0.052), 1.7);
    // 0.1 ms: gas moves on by 1045 N/m x 0.3 m/s x 0.1 ms = 0.031 N; at 12 rad/s speed falls by (0.0012)^2 / 2 of 600 N, 0.0004 N.
    expect(u(inward, 'time skew')).toBeCloseTo(0.0313, 3);
    expect(inward.uncertainty.benchIncluded).toBe(true);
    // Root of the sum of squares; many degrees of freedom, so that k is 2 as near as can be.
    const sum = inward.uncertainty.parts.reduce((squares, part) => squares + part.u ** 2, 0);
    expect(inward.uncertainty.U).toBeCloseTo(inward.uncertainty.coverageFactor * Math.sqrt(sum), 9);
    expect(inward.uncertainty.coverageFactor).toBeCloseTo(1.96, 1.7);
  });

  it('says where the load cell is not in it', async () => {
    const { log } = await runPlain({ velocities: [0.1, 0.3] });
    for (const bench of [undefined, { displacementU: 1e-4 }]) {
      const point = analysePlain([log], bench === undefined ? {} : { bench }).points[0]!;
      expect(point.uncertainty.benchIncluded).toBe(false);
      expect(u(point, 'load cell')).toBe(0);
    }
  });

  it('warming since the one creep step: 1/300 of gas a kelvin, limits of even chance', async () => {
    const heat = { capacity: 60, ambient: 293.15, coolingTime: 1e5, forceLoss: 0, referenceTemperature: 293.15 };
    const { log, run } = await runPlain({
      damper: { heat },
      temperature: true,
      velocities: [0.03, 0.3, 0.6],
      cycles: 8,
    });
    const [slow, , fast] = run.truth;
    const warmer = fast!.temperature - slow!.temperature;
    expect(warmer).toBeGreaterThan(3);
    const analysis = analysePlain([log]);
    // Truth counts the settling cycle of each step in: a tenth either way.
    const expected = (warmer * slow!.gas) / 300 / Math.sqrt(3);
    expect(Math.abs(u(pointAt(analysis, 0.6, 'rebound'), 'temperature') / expected - 1)).toBeLessThan(0.1);
    expect(u(pointAt(analysis, 0.03, 'rebound'), 'temperature')).toBeLessThan(0.05);
    // Without a temperature nothing is said of warming.
    const { log: untold } = await runPlain({ damper: { heat }, velocities: [0.03, 0.3, 0.6], cycles: 8 });
    expect(u(pointAt(analysePlain([untold]), 0.6, 'rebound'), 'temperature')).toBe(0);
  });

  // JCGM 100:2008, H.1 (end gauge): 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2 degrees of freedom combine to 32 nm with 16 (values from memory).
  it('combines as the worked example of the guide does', () => {
    const part = (value: number, df: number): UncertaintyPart => ({ name: 'cycles', u: value, df });
    const combined = expandUncertainty([part(25, 18), part(9.7, 25.6), part(2.9, 50), part(16.6, 2)], false);
    expect(combined.U / combined.coverageFactor).toBeCloseTo(31.7, 1);
    expect(Math.floor(combined.degreesOfFreedom)).toBe(16);
    // Student's t at 95 %: 2.12 for 16, 2.11 for 17 degrees of freedom (JCGM 100, table G.2, from memory); here 16.8, not cut off.
    expect(combined.coverageFactor).toBeGreaterThan(2.11);
    expect(combined.coverageFactor).toBeLessThan(2.12);
  });
});

describe('gas over a run', () => {
  const heat = { capacity: 60, ambient: 293.15, coolingTime: 1e5, forceLoss: 0, referenceTemperature: 293.15 };
  const velocities = [0.03, 0.6, 0.9, 0.6, 0.03];

  it('follows temperature between a creep step at start and end', async () => {
    const { log, run } = await runPlain({ damper: { heat }, temperature: true, velocities, cycles: 8 });
    const rise = run.truth.at(-1)!.gas - run.truth[0]!.gas;
    expect(rise).toBeGreaterThan(8);
    const analysis = analysePlain([log]);
    expect(Math.abs(analysis.gas.change! - rise)).toBeLessThan(1);
    for (const point of analysis.points) {
      const truth = run.truth[point.key.step]!;
      const of = point.side === 'compression' ? 2000 : -3000;
      const damping = of * truth.velocity + Math.sign(of) * 40;
      // 5e-4 of 2700 N are the fit's own; gas is followed within a newton, where it rises by more than eight.
      expect(Math.abs(point.damping - damping)).toBeLessThan(1.5 + 5e-4 * Math.abs(damping));
      expect(u(point, 'temperature')).toBe(0);
    }
  });

  it('a change over 10 N that no temperature explains is an uncertainty of change / sqrt 12', async () => {
    const drifting = { forceDrift: 24 };
    const { log } = await runPlain({ velocities, bench: drifting });
    const { gas, points } = analysePlain([log]);
    expect(gas.change).toBeGreaterThan(10);
    const own = analysePlain([(await runPlain({ velocities })).log]).points[0]!;
    expect(u(points[0]!, 'gas')).toBeCloseTo(Math.hypot(u(own, 'gas'), gas.change! / Math.sqrt(12)), 1);
  });

  it("adds the load cell's zero to gas in full", async () => {
    const { log } = await runPlain({ bench: { forceZero: 25 } });
    expect(Math.abs(analysePlain([log]).gas.force - (GAS_AT_MIDDLE + 25))).toBeLessThan(1);
  });
});

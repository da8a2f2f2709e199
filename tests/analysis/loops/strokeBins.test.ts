import { describe, expect, it } from 'vitest';
import { StrokeBins } from '../../../src/analysis/loops/strokeBins';
import { PHASE_BINS, TRAVEL_BINS } from '../../../src/analysis/reducedLog';
import { SIDES } from '../../../src/analysis/side';
import { exactCycle } from './exactCycle';
import type { ExactMotion } from './exactCycle';

const SINE: ExactMotion = {
  drive: 'sine',
  amplitude: 0.025,
  frequency: 2,
  samplesPerCycle: 4000,
  shift: 0.4,
  displacementZero: 0.007,
  force: (x, v) => 300 + 2000 * x + 1500 * v,
};

function largestGap(a: Float64Array, b: Float64Array): number {
  return Math.max(
    ...Array.from(a, (value, i) => (Number.isNaN(value) && Number.isNaN(b[i]!) ? 0 : Math.abs(value - b[i]!))),
  );
}

describe('bins of a stroke', () => {
  it.each(SIDES)('%s: displacement, speed and force on equal parts of its time', (side) => {
    const bins = new StrokeBins();
    bins.add(exactCycle(SINE), side);
    const { count, displacement, speed, force } = bins.phase();
    const sign = side === 'compression' ? 1 : -1;
    const peak = 2 * Math.PI * 2 * 0.025;
    for (let b = 0; b < PHASE_BINS; b++) {
      const angle = (Math.PI * (b + 0.5)) / PHASE_BINS;
      expect(count[b]).toBeGreaterThan(29);
      expect(displacement[b]).toBeCloseTo(-sign * 0.025 * Math.cos(angle), 4);
      expect(speed[b]).toBeCloseTo(peak * Math.sin(angle), 3);
      expect(force[b]).toBeCloseTo(300 + 2000 * displacement[b]! + sign * 1500 * speed[b]!, 6);
    }
  });

  it.each(SIDES)('%s: the accelerating half against itself mirrored in time', (side) => {
    const bins = new StrokeBins();
    bins.add(exactCycle(SINE), side);
    const { count, displacement, force, mirroredDisplacement, mirroredForce } = bins.travel();
    const sign = side === 'compression' ? 1 : -1;
    expect(mirroredForce).toHaveLength(TRAVEL_BINS / 2);
    for (let b = 4; b < TRAVEL_BINS / 2 - 1; b++) {
      expect(count[b]).toBeGreaterThan(0);
      expect(mirroredDisplacement[b]).toBeCloseTo(-displacement[b]!, 5);
      // Same speed on both halves: the forces differ by the gas spring alone.
      expect(mirroredForce[b]! - force[b]!).toBeCloseTo(2000 * (mirroredDisplacement[b]! - displacement[b]!), 1);
      expect(displacement[b]).toBeCloseTo(sign * 0.05 * ((b + 0.5) / TRAVEL_BINS - 0.5), 3);
    }
  });

  it('gathers over cycles, and two halves merged are the whole', () => {
    const cycles = [0.1, 0.35, 0.6, 0.85].map((shift) => exactCycle({ ...SINE, samplesPerCycle: 90, shift }));
    const whole = new StrokeBins();
    const first = new StrokeBins();
    const second = new StrokeBins();
    cycles.forEach((cycle, i) => {
      whole.add(cycle, 'rebound');
      (i < 2 ? first : second).add(cycle, 'rebound');
    });
    first.merge(second);
    const apart = (a: object, b: object): number =>
      Math.max(
        ...Object.entries(a).map(([key, column]) =>
          largestGap(column as Float64Array, (b as Record<string, Float64Array>)[key]!),
        ),
      );
    expect(apart(first.phase(), whole.phase())).toBeLessThan(1e-9);
    expect(apart(first.travel(), whole.travel())).toBeLessThan(1e-9);
    expect(whole.phase().count.every((n) => n > 0)).toBe(true);
  });

  it('says how far the force of a bin spreads from cycle to cycle', () => {
    const bins = new StrokeBins();
    for (const extra of [-10, 0, 10])
      bins.add(exactCycle({ ...SINE, force: (_, v) => 1500 * v + extra }), 'compression');
    for (const spread of bins.phase().forceSpread!) expect(spread).toBeCloseTo(10, 9);
    const one = new StrokeBins();
    one.add(exactCycle(SINE), 'compression');
    expect(one.phase().forceSpread!.every((s) => Number.isNaN(s))).toBe(true);
  });

  it('leaves parts without a sample empty', () => {
    const bins = new StrokeBins();
    bins.add(exactCycle({ ...SINE, samplesPerCycle: 40 }), 'compression');
    const { count, force } = bins.phase();
    expect(count.reduce((a, b) => a + b, 0)).toBe(20);
    count.forEach((n, b) => {
      expect(Number.isNaN(force[b]!)).toBe(n === 0);
    });
  });
});

import { describe, expect, it } from 'vitest';
import type { Stroke } from '../../../src/analysis/motion/cycle';
import { forceAtPeakSpeed } from '../../../src/analysis/points/peakForce';
import { mean, variance } from '../../../src/analysis/statistics/quantile';
import { createRandom } from '../../simulator/random';

/** A compression stroke of 1 s about time 0, at phase rate pi, sampled `rate` times a second. */
function strokeOf(rate: number, plateau: boolean, shift = 0.3): { time: Float64Array; stroke: Stroke } {
  const time = Float64Array.from({ length: 2 * rate }, (_, i) => (i + shift) / rate - 1);
  const body = plateau ? 0.8 : (2 * Math.asin(0.8)) / Math.PI;
  const firstIndex = Math.round(rate / 2);
  const stroke: Stroke = {
    side: 'compression',
    firstIndex,
    lastIndex: firstIndex + rate,
    x0: -0.025,
    x1: 0.025,
    t10: -body / 2,
    t50: 0,
    t90: body / 2,
    startTime: -0.5,
    endTime: 0.5,
    from: firstIndex,
    to: firstIndex + rate,
    peakSpeed: 1,
    peakTime: 0,
    plateau,
    phaseRate: plateau ? 0 : Math.PI,
  };
  return { time, stroke };
}

describe('force at peak speed', () => {
  it('reads a force of the fourth degree exactly, wherever the samples fall', () => {
    for (const shift of [0, 0.3, 0.9]) {
      const { time, stroke } = strokeOf(200, false, shift);
      const force = time.map((t) => 900 + 40 * t - 700 * t * t + 100 * t ** 3 - 2000 * t ** 4);
      const point = forceAtPeakSpeed(time, force, stroke, 0, time.length);
      expect(point.force).toBeCloseTo(900, 8);
      expect(point.variance).toBeLessThan(1e-12);
      // 0.7 rad at pi rad/s, to both sides, 200 samples a second
      expect(Math.abs(point.samples - (2 * 0.7 * 200) / Math.PI)).toBeLessThan(1);
    }
  });

  it('reads a bent plateau at mid-travel, within the middle 75 % of it', () => {
    const { time, stroke } = strokeOf(200, true);
    const force = time.map((t) => (Math.abs(t) < 0.3 ? 500 + 30 * t + 200 * t * t : 1e4));
    const point = forceAtPeakSpeed(time, force, stroke, 0, time.length);
    expect(point.force).toBeCloseTo(500, 8);
    expect(point.samples).toBe(120);
  });

  it.each([false, true])('states the variance that its force has (plateau: %s)', (plateau) => {
    const random = createRandom(11);
    const { time, stroke } = strokeOf(100, plateau);
    const forces: number[] = [];
    const stated: number[] = [];
    for (let i = 0; i < 4000; i++) {
      const force = time.map(() => 800 + 7 * random.normal());
      const point = forceAtPeakSpeed(time, force, stroke, 0, time.length);
      forces.push(point.force);
      stated.push(point.variance);
    }
    // Standard deviation of a variance of 4000 values: 2.2 %.
    expect(mean(stated) / variance(forces)).toBeGreaterThan(0.91);
    expect(mean(stated) / variance(forces)).toBeLessThan(1.09);
  });

  it('counts the samples of the window, and widens it where they are too few to fit', () => {
    const { time, stroke } = strokeOf(10, false);
    const force = time.map((t) => 300 - 10 * t * t);
    const point = forceAtPeakSpeed(time, force, stroke, 0, time.length);
    expect(point.samples).toBe(4);
    expect(point.force).toBeCloseTo(300, 8);
  });

  it('does not read beyond the segment', () => {
    const { time, stroke } = strokeOf(100, false);
    const force = time.map((t) => (t < -0.1 ? NaN : 250));
    const first = time.findIndex((t) => t >= -0.1);
    expect(forceAtPeakSpeed(time, force, stroke, first, time.length).force).toBeCloseTo(250, 8);
  });

  it('has nothing to say of no samples', () => {
    const { time, stroke } = strokeOf(100, false);
    const point = forceAtPeakSpeed(time, time, stroke, 40, 42);
    expect(point.variance).toBeNaN();
  });
});

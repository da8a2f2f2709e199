import { describe, expect, it } from 'vitest';
import { benchSpeed, cyclesPerMinuteFor } from '../../src/analysis/motion/benchSpeed';
import { reduceLog } from '../../src/analysis/reduceLog';
import { cut, drawChunk } from '../analysis/motion/drawnMotion';

describe('peak speed of a crank bench', () => {
  // QC/T 545-1999, clauses 1.3 and 1.4 (replaced by QC/T 491-2018): v = pi S n / 60; (100 +- 1) mm and (100 +- 2) cycles/min.
  it.each([
    [100, 100, 0.5236],
    [99, 98, 0.508],
    [101, 102, 0.5394],
  ])('stroke %d mm, %d cycles/min: %d m/s', (stroke, cyclesPerMinute, speed) => {
    expect(Number(benchSpeed('sine', stroke / 1000, cyclesPerMinute).toFixed(4))).toBe(speed);
  });

  // QC/T 491-2018, recommended speeds at 100 mm; printed to two decimals, cycles/min to whole fives.
  it.each([
    [25, 0.13],
    [50, 0.26],
    [100, 0.52],
    [200, 1.04],
  ])('%d cycles/min at 100 mm are the recommended %d m/s', (cyclesPerMinute, recommended) => {
    expect(Math.abs(benchSpeed('sine', 0.1, cyclesPerMinute) / recommended - 1)).toBeLessThan(0.01);
    expect(5 * Math.round(cyclesPerMinuteFor('sine', 0.1, recommended) / 5)).toBe(cyclesPerMinute);
  });

  // The same from the samples: what a log of such a bench is found to have run at.
  it('is what a log of 100 mm and 100 cycles/min is found to have run at', async () => {
    const displacement = (t: number): number => -0.05 * Math.cos((2 * Math.PI * 100 * t) / 60);
    const log = await reduceLog(cut(drawChunk({ seconds: 3, displacement }), 5000), { adjusters: 0 });
    expect(log.steps).toHaveLength(1);
    expect(log.steps[0]!.compression.peakSpeed).toBeCloseTo(0.5236, 3);
    expect(log.steps[0]!.rebound.peakSpeed).toBeCloseTo(0.5236, 3);
    expect(60 * log.steps[0]!.frequency).toBeCloseTo(100, 1);
  });

  // Closed form: both ways of the stroke in the time of one cycle.
  it('at constant speed: 50 mm, 60 cycles/min are 0.1 m/s', () => {
    expect(benchSpeed('triangle', 0.05, 60)).toBeCloseTo(0.1, 12);
    expect(cyclesPerMinuteFor('triangle', 0.05, 0.1)).toBeCloseTo(60, 12);
  });
});

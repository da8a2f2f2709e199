import { describe, expect, it } from 'vitest';
import { LogScan } from '../../../src/analysis/motion/logScan';
import { ThinnedSeries } from '../../../src/analysis/motion/thinnedSeries';
import { TurningPoints } from '../../../src/analysis/motion/turningPoints';
import { createRandom } from '../../simulator/random';
import { drawChunk, sine } from './drawnMotion';

describe('first look at a log', () => {
  it('finds the noise under the motion, the ranges and the resolution', () => {
    const random = createRandom(2);
    const force = (_: number, v: number): number => Math.round((3000 * v + 6 * random.normal()) / 0.25) * 0.25;
    const chunk = drawChunk({
      seconds: 40,
      displacement: (t) => sine(1)(t) + 2e-5 * random.normal(),
      force: (t) => force(t, 0),
    });
    const scan = new LogScan();
    scan.add(chunk);
    const scale = scan.finish();
    expect(scale.forceNoise / 6).toBeCloseTo(1, 1);
    expect(scale.displacementNoise / 2e-5).toBeCloseTo(1, 1);
    expect(scale.forceResolution).toBe(0.25);
    expect(scale.rows).toBe(40_001);
    expect(scale.duration).toBe(40);
    expect(scale.sampleInterval).toBeCloseTo(0.001, 12);
    expect(scale.forceRange).toEqual([Math.min(...chunk.force), Math.max(...chunk.force)]);
  });

  it('names at most a hundred rows whose time does not rise', () => {
    const chunk = { ...drawChunk({ seconds: 1, displacement: sine(1) }), time: new Float64Array(1001) };
    const scan = new LogScan();
    scan.add(chunk);
    const { timeFaults } = scan.finish();
    expect(timeFaults.length).toBe(100);
    expect(timeFaults[0]).toEqual({ row: 1, time: 0, previous: 0 });
  });

  it('a thinned series spreads evenly over what has come', () => {
    const series = new ThinnedSeries(8);
    for (let row = 0; row < 1000; row++) series.add(row, row);
    expect(series.stride).toBe(128);
    expect(Array.from(series.kept())).toEqual([0, 128, 256, 384, 512, 640, 768, 896]);
  });
});

describe('turning points', () => {
  function turns(x: readonly number[], hysteresis: number, portion: number): number[] {
    const points = new TurningPoints(hysteresis);
    const column = Float64Array.from(x);
    const found: number[] = [];
    for (let end = portion; end < x.length + portion; end += portion) {
      let row = Math.min(end - portion, x.length);
      while (row < Math.min(end, x.length)) {
        if (points.scan(column, 0, row, Math.min(end, x.length))) found.push(points.confirmedRow);
        row = points.nextRow;
      }
    }
    return [...found, points.pendingRow()];
  }
  const wave = [0, 0.1, 0, 1, 2, 1.95, 2.1, 1, 0, 0.04, -0.02, 1, 2, 2, 1.5];

  it('are the extremes that the motion comes back from, in any portions', () => {
    for (const portion of [1, 2, 5, 100]) expect(turns(wave, 0.3, portion)).toEqual([0, 6, 10, 12, 14]);
  });

  it('are not made by noise within the hysteresis', () => {
    expect(turns(wave, 1e3, 4)).toEqual([-1]);
    expect(turns([5, 5, 5], 0.1, 1)).toEqual([-1]);
  });
});

import { describe, expect, it } from 'vitest';
import { LogScan } from '../../../src/analysis/motion/logScan';
import { SampleBuffer } from '../../../src/analysis/motion/sampleBuffer';
import type { SampleChunk } from '../../../src/analysis/motion/sampleChunk';
import { SettingTrack } from '../../../src/analysis/motion/settingTrack';
import { StepGrouping } from '../../../src/analysis/motion/stepGrouping';
import { StrokeTracker } from '../../../src/analysis/motion/strokeTracker';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { createRandom } from '../../simulator/random';
import { PERFECT_BENCH } from '../../simulator/bench';
import { randomDamper, randomPlan } from '../../simulator/randomCases';
import { runBench } from '../../simulator/runBench';
import { toSampleChunk } from '../../simulator/sampleChunks';
import { cut, drawChunk, sine } from './drawnMotion';

/** A log with everything in it: settings by column, temperature, velocity, gaps, drift. */
function fullLog(): SampleChunk {
  const random = createRandom(77);
  const { plan, bench } = randomPlan(random, {
    velocities: [0.2, 0.5],
    stroke: 0.05,
    sampleRate: 1000,
    velocityChannel: true,
    dwell: 'gap',
  });
  const steps = plan.steps.flatMap((step) => [1, 4].map((clicks) => ({ ...step, setting: { R: clicks } })));
  const run = runBench(randomDamper(random), { ...plan, steps }, bench, { seed: 5 });
  return toSampleChunk(run, { adjusters: ['R'], temperature: true });
}

describe('reduceLog', () => {
  it('gives the same numbers, bit for bit, however the rows are cut into chunks', async () => {
    const chunk = fullLog();
    const whole = await reduceLog(cut(chunk, chunk.rows), { adjusters: 1 });
    expect(whole.steps.map((step) => step.setting)).toEqual([[1], [4], [1], [4]]);
    expect(whole.steps[0]).toHaveProperty('temperature');
    for (const rows of [1, 7, 1000, 8192, 8193]) {
      expect(await reduceLog(cut(chunk, rows), { adjusters: 1 }), `chunks of ${rows}`).toStrictEqual(whole);
    }
  });

  it('reads a log that is too long to keep a second time, with the same result', async () => {
    const chunk = fullLog();
    let readings = 0;
    const read = (): AsyncIterable<SampleChunk> => {
      readings++;
      return cut(chunk, 3000)();
    };
    const kept = await reduceLog(read, { adjusters: 1 });
    expect(readings).toBe(1);
    const twice = await reduceLog(read, { adjusters: 1, keptValues: 6 * chunk.rows - 1 });
    expect(readings).toBe(3);
    expect(twice).toStrictEqual(kept);
  });

  it('stops when it is told to, in both passes', async () => {
    const chunk = drawChunk({ seconds: 4, displacement: sine(1) });
    for (const stopAt of [1, 2, 6]) {
      let chunks = 0;
      const signal = { aborted: false };
      const read = async function* (): AsyncIterable<SampleChunk> {
        for await (const part of cut(chunk, 1000)()) {
          if (++chunks === stopAt) signal.aborted = true;
          yield part;
        }
      };
      await expect(reduceLog(read, { adjusters: 0, signal, keptValues: 0 })).rejects.toThrow(/cancelled/);
      expect(chunks).toBe(stopAt);
    }
  });

  it('never holds more than the cycles in work', () => {
    const cycle = 1000;
    const motions = [
      { seconds: 60, displacement: sine(1) },
      // Cycles that close but are all of another speed, so that each is a step that fails.
      { seconds: 60, displacement: (t: number) => sine(1)(t + 0.4 * Math.sin(0.7 * t)) },
    ];
    for (const motion of motions) {
      const chunk = drawChunk(motion);
      const scan = new LogScan();
      scan.add(chunk);
      const scale = scan.finish();
      const buffer = new SampleBuffer();
      const grouping = new StepGrouping(buffer, scale, new SettingTrack(0));
      const tracker = new StrokeTracker(buffer, scale, grouping);
      let most = 0;
      for (let from = 0; from < chunk.rows; from += 100) {
        const to = Math.min(from + 100, chunk.rows);
        tracker.add(chunk, from, to);
        const needed = Math.min(tracker.firstNeededRow(), grouping.firstNeededRow());
        most = Math.max(most, buffer.endRow - needed);
        buffer.release(needed);
      }
      expect(most).toBeGreaterThan(cycle);
      expect(most).toBeLessThan(6 * cycle);
      expect(buffer.time.length).toBeLessThan(chunk.rows);
    }
  });

  it('lets go of a long rest, before the test and between steps', async () => {
    const rest = 150; // seconds, longer than is kept at 1 kHz
    const displacement = (t: number): number => {
      if (t < rest) return sine(1)(0);
      if (t < rest + 3) return sine(1)(t - rest);
      return t < 2 * rest + 3 ? sine(1)(0) : sine(2)(t - 2 * rest - 3);
    };
    const chunk = drawChunk({ seconds: 2 * rest + 5, displacement });
    const log = await reduceLog(cut(chunk, 8192), { adjusters: 0 });
    expect(log.events).toEqual([]);
    expect(log.steps.map((step) => step.cyclesFound)).toEqual([3, 4]);
  });

  it('tells rows, times and the channels of a perfect bench', async () => {
    const random = createRandom(3);
    const { plan } = randomPlan(random, {
      velocities: [0.1, 0.4],
      stroke: 0.06,
      cycles: 4,
      drive: 'sine',
      dwell: 'gap',
      startPhase: 0,
      trailingPhase: 0,
    });
    const run = runBench(randomDamper(random), plan, PERFECT_BENCH, { seed: 1 });
    const log = await reduceLog(cut(toSampleChunk(run), 5000), { adjusters: 0 });
    expect(log.rows).toBe(run.time.length);
    expect(log.sampleInterval).toBeCloseTo(1 / PERFECT_BENCH.sampleRate, 12);
    expect(log.displacementRange[1] - log.displacementRange[0]).toBeCloseTo(0.06, 5);
    expect(log.displacementNoise).toBeLessThan(1e-6);
    log.steps.forEach((step, i) => {
      const truth = run.truth[i]!;
      expect(Math.abs(step.firstRow - truth.firstRow)).toBeLessThanOrEqual(5);
      expect(Math.abs(step.lastRow - truth.endRow)).toBeLessThanOrEqual(5);
      expect(step.frequency / truth.frequency).toBeCloseTo(1, 6);
      expect(step.middle).toBeCloseTo(0, 5);
      expect(step.compression.peakSpeed / truth.velocity).toBeCloseTo(1, 4);
      expect(step.compression.strokeTime * 2 * truth.frequency).toBeCloseTo(1, 2);
      expect(step.compression.peakAcceleration).toBeCloseTo(truth.velocity * 2 * Math.PI * truth.frequency, 1);
      expect(Array.from(step.cycles.energy, (energy, k) => energy / truth.energy[k]!)).toEqual(
        Array.from({ length: 4 }, () => expect.closeTo(1, 2) as number),
      );
    });
  });
});

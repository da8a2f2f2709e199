import { describe, expect, it } from 'vitest';
import { reduceLog } from '../../../src/analysis/reduceLog';
import type { DrawnMotion } from './drawnMotion';
import { cut, drawChunk, reduceDrawn, sine } from './drawnMotion';

const kindsOf = async (motion: DrawnMotion): Promise<string[]> => (await reduceDrawn(motion)).events.map((e) => e.kind);

describe('gaps', () => {
  it('inside a stroke: reported, the cycle is dropped, the step goes on', async () => {
    const motion = { seconds: 8, displacement: sine(1), recorded: (t: number) => t <= 3.2 || t >= 3.3 };
    const log = await reduceDrawn(motion);
    expect(log.events).toEqual([{ kind: 'gap-in-stroke', row: 3201, duration: expect.closeTo(0.1, 6) as number }]);
    expect(log.steps.map((step) => step.cyclesFound)).toEqual([7]);
  });

  it('at a turning point: nothing to report, and another step begins', async () => {
    const displacement = (t: number): number => sine(1)(t < 4 ? t : t - 0.5);
    const log = await reduceDrawn({ seconds: 8.5, displacement, recorded: (t) => t <= 4 || t >= 4.5 });
    expect(log.events).toEqual([]);
    expect(log.steps.map((step) => step.cyclesFound)).toEqual([4, 4]);
  });

  it('a rest at the lower turning point separates steps too', async () => {
    const displacement = (t: number): number => sine(1)(t < 4 ? t : t < 4.5 ? 4 : t - 0.5);
    const log = await reduceDrawn({ seconds: 8.5, displacement });
    expect(log.steps.map((step) => step.cyclesFound)).toEqual([4, 4]);
  });

  it('a log that records its steps at different rates has no gaps', async () => {
    const recorded = (t: number): boolean => t <= 4 || Math.round(t * 1000) % 20 === 0;
    const log = await reduceDrawn({ seconds: 10, displacement: (t) => sine(t < 4 ? 2 : 1)(t - 4), recorded });
    expect(log.events).toEqual([]);
    expect(log.steps.map((step) => [step.cyclesFound, Math.round(step.frequency * 100) / 100])).toEqual([
      [8, 2],
      [6, 1],
    ]);
  });
});

describe('time', () => {
  it('that stands still or runs back names the row', async () => {
    const chunk = drawChunk({ seconds: 6, displacement: sine(1) });
    chunk.time[2500] = chunk.time[2499]!;
    chunk.time[4100] = 1;
    const log = await reduceLog(cut(chunk, 999), { adjusters: 0 });
    const faults = log.events.filter((event) => event.kind === 'time-not-increasing');
    expect(faults.map(({ row }) => row)).toEqual([2500, 4100]);
    expect(faults[1]).toEqual({ kind: 'time-not-increasing', row: 4100, time: 1, previous: 4.099 });
  });
});

describe('clipped force', () => {
  const clippedAt = (limit: number, resolution: number): DrawnMotion => ({
    seconds: 6,
    displacement: sine(1),
    force: (_, v) => Math.round(Math.min(limit, 6000 * v) / resolution) * resolution,
  });

  it('is found where strokes are cut off at one value', async () => {
    const [event, ...more] = (await reduceDrawn(clippedAt(900, 0.01))).events;
    expect(more).toEqual([]);
    expect(event).toMatchObject({ kind: 'force-clipped', value: 900, strokes: 6 });
  });

  it('is found where noise rides on what is below the limit', async () => {
    const noise = (t: number): number => 5 * Math.sin(1e5 * t * t);
    const force = (t: number, v: number): number => Math.max(-930, Math.round((6000 * v + noise(t)) * 100) / 100);
    const log = await reduceDrawn({ seconds: 6, displacement: sine(1), force });
    expect(log.events).toMatchObject([{ kind: 'force-clipped', value: -930, strokes: 6 }]);
  });

  it('is not what a coarse recorder shows at a smooth peak', async () => {
    expect(await kindsOf(clippedAt(1e9, 2))).toEqual([]);
  });

  it('is not one flat stroke', async () => {
    const force = (t: number, v: number): number => Math.min(6000 * v, t > 3 && t < 4 ? 900 : 850 + t);
    expect(await kindsOf({ seconds: 6, displacement: sine(1), force })).toEqual([]);
  });
});

describe('what is no test', () => {
  it('force of the other sign gives energy out of the damper', async () => {
    const log = await reduceDrawn({ seconds: 6, displacement: sine(1), force: (_, v) => -1000 * v });
    expect(log.events).toMatchObject([{ kind: 'sign-suspect', row: log.steps[0]!.firstRow }]);
    expect(log.events[0]).toHaveProperty('energy', expect.closeTo(-6 * Math.PI * 1000 * 2 * Math.PI * 0.025 ** 2, 1));
  });

  it.each([
    ['one stroke', { seconds: 0.5, displacement: sine(1) }, 1],
    ['one cycle', { seconds: 1, displacement: sine(1) }, 2],
    ['nothing that moves', { seconds: 3, displacement: () => 0.01 }, 0],
  ])('%s: no step', async (_, motion: DrawnMotion, strokes) => {
    const log = await reduceDrawn(motion);
    expect(log.steps).toEqual([]);
    expect(log.events).toMatchObject([{ kind: 'no-step', row: 0, strokes }]);
  });

  it.each([0, 1, 2, 3, 5])('%d rows: no step, and no crash', async (rows) => {
    const chunk = drawChunk({ seconds: 0.01, displacement: sine(10) });
    const short = { ...chunk, rows };
    const log = await reduceLog(cut(short, 2), { adjusters: 0 });
    expect(log.rows).toBe(rows);
    expect(log.events).toMatchObject([{ kind: 'no-step' }]);
  });

  it('cycles that do not close, or never keep their speed, are none', async () => {
    const widening = (t: number): number => (0.005 + 0.004 * t) * Math.sin(2 * Math.PI * t);
    expect((await reduceDrawn({ seconds: 6, displacement: widening })).steps).toEqual([]);
  });
});

describe('logged velocity', () => {
  it.each([
    ['agrees', 1, 0],
    ['is scaled', 0.95, 0],
    ['has the wrong sign', -1, 0],
    ['is late', 1, 0.004],
    ['is early and scaled', 1.03, -0.003],
  ])('%s', async (_, scale, lag) => {
    const displacement = (t: number): number => sine(t < 5 ? 1 : 4)(t);
    const velocity = (t: number): number => {
      const w = 2 * Math.PI * (t < 5 ? 1 : 4);
      return scale * 0.025 * w * Math.sin(w * (t - lag));
    };
    const log = await reduceDrawn({ seconds: 8, displacement, velocity });
    expect(log.velocityCheck!.scale).toBeCloseTo(scale, 2);
    expect(log.velocityCheck!.lag).toBeCloseTo(lag, 3);
    // A velocity that disagrees is not used: the loops then see the derivative.
    const step = log.steps[1]!;
    const top = Math.max(...step.compression.phase.speed);
    expect(top / step.compression.peakSpeed).toBeGreaterThan(0.98);
    expect(top / step.compression.peakSpeed).toBeLessThan(1.02);
  });

  it('is not spoken of where there is none', async () => {
    expect(await reduceDrawn({ seconds: 4, displacement: sine(1) })).not.toHaveProperty('velocityCheck');
  });
});

describe('settings by adjuster columns', () => {
  it('a change between cycles begins a step and costs no cycle', async () => {
    const log = await reduceDrawn({ seconds: 9, displacement: sine(1), setting: (t) => (t < 4 ? 3 : 5) });
    expect(log.steps.map((step) => [step.setting, step.cyclesFound])).toEqual([
      [[3], 4],
      [[5], 5],
    ]);
  });

  it('a change inside a cycle costs that cycle', async () => {
    const log = await reduceDrawn({ seconds: 9, displacement: sine(1), setting: (t) => (t < 4.3 ? 3 : 5) });
    expect(log.steps.map((step) => [step.setting, step.cyclesFound])).toEqual([
      [[3], 4],
      [[5], 4],
    ]);
  });

  it('a setting that comes back is a step of its own', async () => {
    const log = await reduceDrawn({ seconds: 9, displacement: sine(1), setting: (t) => (t < 3 || t > 6 ? 3 : 5) });
    expect(log.steps.map((step) => step.setting)).toEqual([[3], [5], [3]]);
  });
});

describe('transitions', () => {
  it('a last cycle on the way to another speed is no part of the step', async () => {
    // 1 Hz for 5 cycles, one of 1.012 Hz, then 1.3 Hz.
    const ends = [5, 5 + 1 / 1.012];
    const displacement = (t: number): number => {
      if (t < ends[0]!) return sine(1)(t);
      return t < ends[1]! ? sine(1.012)(t - ends[0]!) : sine(1.3)(t - ends[1]!);
    };
    const log = await reduceDrawn({ seconds: 9, displacement });
    expect(log.steps.map((step) => step.cyclesFound)).toEqual([5, 3]);
  });

  it('the first cycle is settling where at least two more remain', async () => {
    const used = async (cycles: number): Promise<[number, number]> => {
      const [step] = (await reduceDrawn({ seconds: cycles, displacement: sine(1) })).steps;
      return [step!.cyclesUsed, step!.cycles.firstUsed];
    };
    expect(await used(2)).toEqual([2, 0]);
    expect(await used(3)).toEqual([2, 1]);
    expect(await used(6)).toEqual([5, 1]);
  });

  it('strokes of a frequency but not of an amplitude make different steps', async () => {
    const displacement = (t: number): number => (t < 4 ? 1 : 0.8) * sine(1)(t) - (t < 4 ? 0 : 0.005);
    const log = await reduceDrawn({ seconds: 8, displacement });
    expect(log.steps.map((step) => Math.round(step.amplitude * 1e4) / 10)).toEqual([25, 20]);
  });
});

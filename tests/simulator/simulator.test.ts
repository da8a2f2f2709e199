import { describe, expect, it } from 'vitest';
import { adjusterFactor, evenClicks } from './adjusters';
import type { PlannedStep, SimulatedBench, SimulatedPlan } from './bench';
import { PERFECT_BENCH } from './bench';
import type { DamperFaults, SimulatedDamper } from './damper';
import { kneeValve, powerLawValve } from './damper';
import { createRandom } from './random';
import { randomDamper, randomPlan } from './randomCases';
import { runBench } from './runBench';
import { chunksOf, toSampleChunk } from './sampleChunks';
import { toTestLogText } from './testLogText';

const valve = powerLawValve(1000, 1);
const damper: SimulatedDamper = {
  valves: { compression: valve, rebound: valve },
  gas: { rodDiameter: 0.018, pressure: 12e5, volume: 80e-6, exponent: 1.3 },
  friction: 20,
  frictionSpeed: 0.001,
  lag: 0,
  adjusters: [],
  faults: {},
};
const step: PlannedStep = { velocity: 0.5, stroke: 0.05, cycles: 3, setting: {} };
const plan: SimulatedPlan = {
  drive: 'sine',
  steps: [step],
  midPosition: 0.03,
  dwell: { mode: 'none', duration: 0 },
  startPhase: 0,
  trailingPhase: 0,
};
const withFaults = (faults: DamperFaults): SimulatedDamper => ({ ...damper, faults });

/** Rows of the first rebound stroke after this much travel from its turning point. */
function reboundForceAfter(faults: DamperFaults, travel: number): number {
  const run = runBench(withFaults(faults), plan, PERFECT_BENCH, { seed: 1 });
  const half = 0.5 / run.truth[0]!.frequency;
  const row = run.time.findIndex((time, at) => time > half && 0.025 - run.displacement[at]! >= travel);
  return run.force[row]!;
}

describe('random source', () => {
  it('repeats for a seed, differs between seeds, and has the moments of its distributions', () => {
    const draw = (seed: number): number[] => {
      const source = createRandom(seed);
      return Array.from({ length: 5 }, () => source.next());
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
    const random = createRandom(3);
    const count = 100_000;
    let sum = 0;
    let squares = 0;
    let fourth = 0;
    let uniform = 0;
    for (let i = 0; i < count; i++) {
      const value = random.normal();
      sum += value;
      squares += value ** 2;
      fourth += value ** 4;
      uniform += random.next();
    }
    // Bounds are 4.5 standard errors of each moment.
    expect(Math.abs(sum / count)).toBeLessThan(4.5 / Math.sqrt(count));
    expect(Math.abs(squares / count - 1)).toBeLessThan(4.5 * Math.sqrt(2 / count));
    expect(Math.abs(fourth / count - 3)).toBeLessThan(4.5 * Math.sqrt(96 / count));
    expect(Math.abs(uniform / count - 0.5)).toBeLessThan(4.5 * Math.sqrt(1 / 12 / count));
  });
});

describe('faults', () => {
  it('keep total force at gas and friction in a void, and let it return at its end', () => {
    const gas = 330;
    expect(reboundForceAfter({ voids: { rebound: 0.002 } }, 0.0019)).toBeGreaterThan(gas - 20);
    expect(reboundForceAfter({ voids: { rebound: 0.002 } }, 0.0021)).toBeLessThan(gas - 100);
  });

  it('keep total force at zero while play in the mounting is taken up', () => {
    expect(reboundForceAfter({ mountingPlay: 0.002 }, 0.0019)).toBe(0);
    expect(reboundForceAfter({ mountingPlay: 0.002 }, 0.0021)).not.toBe(0);
  });

  it('take the stated share of valve force at the place of a local drop, on its side only', () => {
    const drop = { side: 'rebound', displacement: 0, width: 0.01, depth: 0.3 } as const;
    const healthy = runBench(damper, plan, PERFECT_BENCH, { seed: 1 }).truth[0]!;
    const faulty = runBench(withFaults({ drop }), plan, PERFECT_BENCH, { seed: 1 }).truth[0]!;
    expect(faulty.reboundForce[1]! - healthy.reboundForce[1]!).toBeCloseTo(0.3 * 500, 3);
    expect(faulty.compressionForce[1]).toBeCloseTo(healthy.compressionForce[1]!, 6);
  });

  it('hold compression at the cavitation ceiling and open a void at the start of rebound', () => {
    const faults = { cavitationCeiling: 300 };
    const run = runBench(withFaults(faults), plan, PERFECT_BENCH, { seed: 1 });
    const { compressionForce, gas } = run.truth[0]!;
    expect(compressionForce[1]).toBeCloseTo(300 + gas + 20, 3);
    expect(reboundForceAfter(faults, 0.002)).toBeGreaterThan(gas - 30);
  });

  it('add chatter above its speed only, of the stated size', () => {
    const chatter = { side: 'compression', rms: 10, frequency: 120, aboveSpeed: 0.3 } as const;
    const run = runBench(withFaults({ chatter }), plan, PERFECT_BENCH, { seed: 1 });
    let squares = 0;
    let rows = 0;
    let strayRows = 0;
    run.force.forEach((force, row) => {
      const added = force - run.cleanForce[row]!;
      const phase = (run.time[row]! * run.truth[0]!.frequency) % 1;
      const speed = 0.5 * Math.sin(2 * Math.PI * phase);
      if (speed > 0.301) {
        squares += added ** 2;
        rows++;
      } else if (speed < 0.299 && added !== 0) {
        strayRows++;
      }
    });
    expect(strayRows).toBe(0);
    expect(Math.sqrt(squares / rows)).toBeGreaterThan(8);
    expect(Math.sqrt(squares / rows)).toBeLessThan(12);
  });
});

describe('adjusters', () => {
  const lowSpeed = {
    id: 'LSC',
    side: 'compression',
    clickEffects: evenClicks(10, 0.05, 6),
    band: 'low',
    bandSpeed: 0.4,
    bandSharpness: 5,
  } as const;

  it('scale their band per click, half of it at the band speed', () => {
    const factor = adjusterFactor([lowSpeed], { LSC: 4 }, 'compression');
    expect(factor(0.01)).toBeCloseTo(Math.exp(-0.2), 6);
    expect(factor(0.4)).toBeCloseTo(Math.exp(-0.1), 12);
    expect(factor(4)).toBeCloseTo(1, 4);
    expect(adjusterFactor([lowSpeed], { LSC: 4 }, 'rebound')(0.01)).toBe(1);
  });

  it('do nothing in their dead range, and stand elsewhere when left out of place', () => {
    const at = (adjuster: typeof lowSpeed & { leftOut?: number }, clicks: number): number =>
      adjusterFactor([adjuster], { LSC: clicks }, 'compression')(0.01);
    expect(at(lowSpeed, 6)).toBe(at(lowSpeed, 10));
    expect(at({ ...lowSpeed, leftOut: 2 }, 2)).toBe(at(lowSpeed, 4));
    expect(at({ ...lowSpeed, leftOut: -3 }, 2)).toBe(at(lowSpeed, 0));
  });
});

describe('bench', () => {
  const steps = [0.2, 0.5].map((velocity) => ({ ...step, velocity }));

  it('leaves out rows in a gap, records rest in a hold, and adds cycles in a ramp', () => {
    const timeSpan = (mode: SimulatedPlan['dwell']['mode']): { gap: number; rest: number; duration: number } => {
      const run = runBench(damper, { ...plan, steps, dwell: { mode, duration: 0.4 } }, PERFECT_BENCH, { seed: 1 });
      let gap = 0;
      let rest = 0;
      for (let row = 1; row < run.time.length; row++) {
        gap = Math.max(gap, run.time[row]! - run.time[row - 1]!);
        if (run.displacement[row] === run.displacement[row - 1]) rest++;
      }
      return { gap, rest: rest / PERFECT_BENCH.sampleRate, duration: run.time.at(-1)! };
    };
    const none = timeSpan('none');
    expect(none.gap).toBeCloseTo(0.0005, 9);
    expect(timeSpan('gap').gap).toBeGreaterThan(0.39);
    expect(timeSpan('hold').rest).toBeCloseTo(0.4, 2);
    expect(timeSpan('ramp').duration).toBeGreaterThan(none.duration + 0.5);
  });

  it('records in steps of its sensors, clips at its limit, drifts and keeps the clean force beside', () => {
    const bench: SimulatedBench = {
      ...PERFECT_BENCH,
      forceNoise: 5,
      forceStep: 0.5,
      forceLimit: 700,
      forceZero: 10,
      displacementStep: 1e-5,
      displacementDrift: 0.001,
      velocityChannel: { noise: 0, step: 1e-4 },
    };
    const run = runBench(damper, { ...plan, steps }, bench, { seed: 4 });
    expect(Math.max(...run.force)).toBe(700);
    expect(Math.max(...run.cleanForce)).toBeGreaterThan(700);
    expect(run.force.every((force) => Math.abs(force / 0.5 - Math.round(force / 0.5)) < 1e-9)).toBe(true);
    const wanderAtEnd = run.displacement.at(-1)! + 0.025;
    expect(wanderAtEnd).toBeGreaterThan(0.0009);
    expect(wanderAtEnd).toBeLessThan(0.0011);
    expect(run.velocity).toHaveLength(run.time.length);
  });

  it('refuses to change the stroke without a gap', () => {
    const two = [step, { ...step, stroke: 0.02 }];
    expect(() => runBench(damper, { ...plan, steps: two }, PERFECT_BENCH, { seed: 1 })).toThrow('need a gap');
  });

  it('gives the same rows for the same seed, and other noise for another', () => {
    const cases = (seed: number): Float64Array => {
      const random = createRandom(12);
      const drawn = randomDamper(random);
      const { plan: drawnPlan, bench } = randomPlan(random);
      return runBench(drawn, drawnPlan, bench, { seed }).force;
    };
    expect(cases(1)).toEqual(cases(1));
    expect(cases(1)).not.toEqual(cases(2));
  });

  it('keeps every random plan within the known answers: cycles, spacing, samples a cycle, drift', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const random = createRandom(seed);
      const drawn = randomDamper(random);
      const { plan: drawnPlan, bench } = randomPlan(random);
      const { truth, displacement } = runBench(drawn, drawnPlan, bench, { seed });
      expect(drawn.lag).toBeLessThanOrEqual(0.0008);
      expect(Math.abs(bench.displacementDrift)).toBeLessThanOrEqual(0.001);
      expect(displacement.every(Number.isFinite)).toBe(true);
      truth.forEach((known, index) => {
        const planned = drawnPlan.steps[index]!;
        expect(known.energy).toHaveLength(planned.cycles);
        expect(known.compressionForce).toHaveLength(planned.cycles);
        expect(known.reboundForce).toHaveLength(planned.cycles);
        expect(bench.sampleRate / known.frequency).toBeGreaterThanOrEqual(60);
        const before = drawnPlan.steps[index - 1];
        if (before) expect(planned.velocity / before.velocity).toBeGreaterThanOrEqual(1.04);
      });
    }
  });
});

describe('handing a log on', () => {
  const swept = [0, 5].map((clicks) => ({ ...step, cycles: 2, setting: { LSC: clicks } }));
  const run = runBench(
    { ...damper, valves: { compression: kneeValve({ preload: 300, kneeSpeed: 0.1, slope: 500 }), rebound: valve } },
    { ...plan, steps: swept, dwell: { mode: 'gap', duration: 0.2 } },
    { ...PERFECT_BENCH, velocityChannel: { noise: 0, step: 0 } },
    { seed: 1 },
  );

  it('cuts the log into chunks that hold the same rows', async () => {
    const whole = toSampleChunk(run, { adjusters: ['LSC'], temperature: true });
    const parts = [];
    for await (const chunk of chunksOf(run, 100, { adjusters: ['LSC'], temperature: true })()) parts.push(chunk);
    expect(parts.flatMap((part) => [...part.force])).toEqual([...whole.force]);
    expect(parts.flatMap((part) => [...part.adjusters[0]!])).toEqual([...whole.adjusters[0]!]);
    expect(parts.at(-1)!.firstRow + parts.at(-1)!.rows).toBe(whole.rows);
    expect(new Set(whole.adjusters[0])).toEqual(new Set([0, 5]));
  });

  it('writes the preamble, units in the header, fixed decimals and no negative zero', () => {
    const lines = toTestLogText(run, {
      preamble: ['spec: a'],
      velocity: true,
      temperature: true,
      adjusters: ['LSC'],
    }).split('\n');
    expect(lines.slice(0, 4)).toEqual([
      '# formatVersion: 1',
      '# spec: a',
      'time [s],displacement [mm],velocity [mm/s],force [N],temperature [Cel],LSC [click]',
      expect.stringMatching(/^0\.0000,-25\.00,0\.0,\d+\.\d,30\.0,0$/),
    ]);
    expect(lines.filter((line) => line !== '')).toHaveLength(run.time.length + 3);
    expect(lines.some((line) => /(^|,)-0(\.0+)?(,|$)/.test(line))).toBe(false);
  });
});

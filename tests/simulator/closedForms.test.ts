import { describe, expect, it } from 'vitest';
import type { PlannedStep, SimulatedPlan } from './bench';
import { PERFECT_BENCH } from './bench';
import type { SimulatedDamper } from './damper';
import { powerLawValve } from './damper';
import { gasForce, gasRate } from './gasSpring';
import { runBench } from './runBench';
import { meanOfUsedCycles } from './truth';

const nothing = powerLawValve(0, 1);
const bareDamper: SimulatedDamper = {
  valves: { compression: nothing, rebound: nothing },
  friction: 0,
  frictionSpeed: 1e-12,
  lag: 0,
  adjusters: [],
  faults: {},
};

function viscous(coefficient: number): SimulatedDamper {
  const valve = powerLawValve(coefficient, 1);
  return { ...bareDamper, valves: { compression: valve, rebound: valve } };
}

function oneStep(step: Partial<PlannedStep>, plan: Partial<SimulatedPlan> = {}): SimulatedPlan {
  return {
    drive: 'sine',
    steps: [{ velocity: 0.1, stroke: 0.05, cycles: 3, setting: {}, ...step }],
    midPosition: 0.03,
    dwell: { mode: 'none', duration: 0 },
    startPhase: 0,
    trailingPhase: 0,
    ...plan,
  };
}

function energyOf(damper: SimulatedDamper, plan: SimulatedPlan): number {
  return meanOfUsedCycles(runBench(damper, plan, PERFECT_BENCH, { seed: 1 }).truth[0]!.energy);
}

describe('energy of one cycle', () => {
  it('is pi c omega X^2 for a viscous damper (Den Hartog, Mechanical Vibrations: from memory)', () => {
    // check-values: c 1500 N s/m, 2 Hz, 10 mm amplitude: 5.921763 J.
    const plan = oneStep({ velocity: 2 * Math.PI * 2 * 0.01, stroke: 0.02 });
    expect(energyOf(viscous(1500), plan)).toBeCloseTo(5.921763, 4);
  });

  it('is 4 F X for Coulomb friction: 10 J at 100 N and 25 mm (closed form)', () => {
    expect(energyOf({ ...bareDamper, friction: 100 }, oneStep({ stroke: 0.05 }))).toBeCloseTo(10, 5);
  });

  it.each([
    [0.25, 3.7235],
    [0.5, 3.49608],
    [1.5, 2.87554],
    [2, 2.66667],
  ])('is L C omega^a X^(1+a) for a power law, a = %f, L = %f (closed form)', (exponent, factor) => {
    const valve = powerLawValve(2000, exponent);
    const amplitude = 0.025;
    const velocity = 0.5;
    const expected = factor * 2000 * (velocity / amplitude) ** exponent * amplitude ** (1 + exponent);
    const damper = { ...bareDamper, valves: { compression: valve, rebound: valve } };
    expect(energyOf(damper, oneStep({ velocity, stroke: 2 * amplitude })) / expected).toBeCloseTo(1, 4);
  });

  it('is force times twice the stroke on a triangle drive, corner and all (closed form)', () => {
    const plan = oneStep({ velocity: 0.4, stroke: 0.05 }, { drive: 'triangle' });
    expect(energyOf(viscous(1500), plan)).toBeCloseTo(1500 * 0.4 * 0.1, 9);
  });

  it('is nothing for a gas spring, however it is compressed', () => {
    const gas = { rodDiameter: 0.018, pressure: 12e5, volume: 80e-6, exponent: 1.3 };
    expect(energyOf({ ...bareDamper, gas }, oneStep({}))).toBeCloseTo(0, 6);
  });

  it('loses what a void holds: 4 F X less F times the void (closed form, triangle)', () => {
    const damper = { ...viscous(1000), faults: { voids: { rebound: 0.002 } } };
    const plan = oneStep({ velocity: 0.5, stroke: 0.05 }, { drive: 'triangle' });
    expect(energyOf(damper, plan)).toBeCloseTo(500 * (0.1 - 0.002), 9);
  });
});

describe('lag', () => {
  it('turns a viscous sine into one of smaller size and later phase (first-order filter)', () => {
    const lag = 0.0008;
    const velocity = 1;
    const stroke = 0.05;
    const omega = velocity / (stroke / 2);
    const run = runBench({ ...viscous(1500), lag }, oneStep({ velocity, stroke, cycles: 6 }), PERFECT_BENCH, {
      seed: 1,
    });
    const atPeak = run.truth[0]!.compressionForce.at(-1)!;
    expect(atPeak / (1500 / (1 + (omega * lag) ** 2))).toBeCloseTo(1, 5);
    const energy = run.truth[0]!.energy.at(-1)!;
    const without = Math.PI * 1500 * omega * (stroke / 2) ** 2;
    expect(energy / (without / (1 + (omega * lag) ** 2))).toBeCloseTo(1, 4);
  });

  it('closes a jump by exp(-t/lag) whatever the sample rate (closed form, triangle)', () => {
    const lag = 0.0008;
    for (const sampleRate of [500, 1000, 5000]) {
      const bench = { ...PERFECT_BENCH, sampleRate };
      const plan = oneStep({ velocity: 0.5, stroke: 0.05 }, { drive: 'triangle' });
      const run = runBench({ ...viscous(1000), lag }, plan, bench, { seed: 1 });
      // Turning point at 0.1 s; forces jump from +500 to -500 N there.
      for (const time of [0.102, 0.104]) {
        const row = Math.round(time * sampleRate);
        const expected = -500 + 1000 * Math.exp(-(run.time[row]! - 0.1) / lag);
        expect(run.force[row]!).toBeCloseTo(expected, 6);
      }
    }
  });
});

describe('gas spring', () => {
  const gas = { rodDiameter: 0.018, pressure: 12e5, volume: 80e-6, exponent: 1.3 };

  it('pushes with pressure times rod area at full extension: 305.4 N for 18 mm and 12 bar (closed form)', () => {
    expect(gasForce(gas, 0, 293.15)).toBeCloseTo(305.36, 2);
  });

  it('doubles its absolute pressure when the volume is halved at constant temperature (Boyle)', () => {
    const area = (Math.PI * 0.018 ** 2) / 4;
    const half = gas.volume / 2 / area;
    const still = { ...gas, exponent: 1 };
    const absolute = (insertion: number): number => gasForce(still, insertion, 293.15) / area + 101_325;
    expect(absolute(half) / absolute(0)).toBeCloseTo(2, 12);
  });

  it('has a rate that is the slope of its force', () => {
    const step = 1e-6;
    const slope = (gasForce(gas, 0.03 + step, 310) - gasForce(gas, 0.03 - step, 310)) / (2 * step);
    expect(gasRate(gas, 0.03, 310)).toBeCloseTo(slope, 3);
  });
});

describe('moving mass', () => {
  it('adds m omega^2 X at the turning points, nothing at peak speed and nothing to the energy (closed form)', () => {
    const plan = oneStep({ velocity: 1, stroke: 0.05 });
    const heavy = { ...PERFECT_BENCH, movingMass: 2 };
    const { truth, force } = runBench(viscous(1000), plan, heavy, { seed: 1 });
    expect(force[0]).toBeCloseTo(2 * (1 / 0.025) ** 2 * 0.025, 6);
    expect(truth[0]!.compressionForce[1]).toBeCloseTo(1000, 6);
    expect(truth[0]!.energy[1]).toBeCloseTo(energyOf(viscous(1000), plan), 5);
  });
});

describe('heat', () => {
  it('warms by energy over heat capacity and weakens the valve in proportion', () => {
    const heat = { capacity: 500, ambient: 300, coolingTime: Infinity, forceLoss: 0.002, referenceTemperature: 300 };
    const plan = oneStep({ velocity: 0.5, cycles: 40 });
    const { truth, temperature } = runBench({ ...viscous(2000), heat }, plan, PERFECT_BENCH, {
      seed: 1,
      startTemperature: 300,
    });
    const work = truth[0]!.energy.reduce((sum, energy) => sum + energy, 0);
    const rise = temperature.at(-1)! - 300;
    expect(rise).toBeCloseTo(work / 500, 3);
    const lastPeak = Math.round((39.75 / truth[0]!.frequency) * PERFECT_BENCH.sampleRate);
    const riseThen = temperature[lastPeak]! - 300;
    expect(truth[0]!.reboundForce.at(-1)! / (-1000 * (1 - 0.002 * riseThen))).toBeCloseTo(1, 5);
  });

  it('cools towards the room along an exponential', () => {
    const heat = { capacity: 500, ambient: 300, coolingTime: 50, forceLoss: 0, referenceTemperature: 300 };
    const plan = oneStep({ velocity: 0.01, cycles: 5 });
    const run = runBench({ ...bareDamper, heat }, plan, PERFECT_BENCH, { seed: 1, startTemperature: 320 });
    expect(run.temperature.at(-1)!).toBeCloseTo(300 + 20 * Math.exp(-run.time.at(-1)! / 50), 2);
  });

  it('cools through a pause that is not recorded', () => {
    const heat = { capacity: 500, ambient: 300, coolingTime: 50, forceLoss: 0, referenceTemperature: 300 };
    const { steps } = oneStep({ velocity: 0.1, cycles: 2 });
    const plan = oneStep({}, { steps: [steps[0]!, { ...steps[0]!, pauseBefore: 100 }] });
    const run = runBench({ ...bareDamper, heat }, plan, PERFECT_BENCH, { seed: 1, startTemperature: 320 });
    const { firstRow } = run.truth[1]!;
    expect(run.time[firstRow]! - run.time[firstRow - 1]!).toBeGreaterThan(99.9);
    expect(run.temperature[firstRow]!).toBeCloseTo(300 + 20 * Math.exp(-run.time[firstRow]! / 50), 2);
  });
});

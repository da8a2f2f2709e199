import type { PlannedStep, SimulatedBench, SimulatedPlan } from './bench';
import { driveFrequency } from './schedule';
import type { SimulatedDamper } from './damper';
import { kneeValve } from './damper';
import type { RandomSource } from './random';

/**
 * A healthy damper drawn from the range that the known answers cover: digressive to linear valves, some with an orifice term, gas from
 * 3 to 18 bar behind a 12 to 22 mm rod, friction 8 to 80 N, lag 0 to 0.8 ms.
 */
export function randomDamper(random: RandomSource, overrides: Partial<SimulatedDamper> = {}): SimulatedDamper {
  const orifice = (): number => (random.chance(0.2) ? random.uniform(0, 800) : 0);
  const compression = kneeValve({
    preload: random.uniform(80, 900),
    kneeSpeed: random.uniform(0.04, 0.25),
    slope: random.uniform(200, 1800),
    square: orifice(),
  });
  const rebound = kneeValve({
    preload: random.uniform(150, 1500),
    kneeSpeed: random.uniform(0.04, 0.25),
    slope: random.uniform(200, 2200),
    square: orifice(),
  });
  return {
    valves: { compression, rebound },
    gas: {
      rodDiameter: random.uniform(0.012, 0.022),
      pressure: random.uniform(3e5, 18e5),
      volume: random.uniform(80e-6, 160e-6),
      exponent: random.uniform(1.1, 1.4),
    },
    friction: random.uniform(8, 80),
    frictionSpeed: 0.002,
    lag: random.uniform(0, 0.0008),
    adjusters: [],
    faults: {},
    ...overrides,
  };
}

/** What a caller of `randomPlan` may fix; the rest is drawn. SI. */
export interface PlanOverrides {
  readonly drive?: 'sine' | 'triangle';
  readonly stroke?: number;
  readonly velocities?: readonly number[];
  readonly cycles?: number;
  readonly sampleRate?: number;
  readonly leastSamplesPerCycle?: number;
  readonly forceNoise?: number;
  readonly displacementStep?: number;
  readonly displacementDrift?: number;
  readonly forceZero?: number;
  readonly forceDrift?: number;
  readonly velocityChannel?: boolean;
  readonly dwell?: SimulatedPlan['dwell']['mode'];
  readonly startPhase?: number;
  readonly trailingPhase?: number;
}

/** A bench and its plan from the range of the known answers. Steps with fewer samples a cycle than allowed are left out of the plan. */
export function randomPlan(
  random: RandomSource,
  overrides: PlanOverrides = {},
): { plan: SimulatedPlan; bench: SimulatedBench } {
  const stroke = overrides.stroke ?? random.pick([0.025, 0.04, 0.05, 0.06, 0.075, 0.1]);
  const drawnVelocities = randomVelocities(random);
  const sampleRate = overrides.sampleRate ?? random.pick([1000, 1024, 2000, 2500, 5000]);
  const drive = overrides.drive ?? (random.chance(0.7) ? 'sine' : 'triangle');
  const cycles = overrides.cycles ?? random.integer(3, 8);
  const least = overrides.leastSamplesPerCycle ?? 60;
  const fitting = (overrides.velocities ?? drawnVelocities).filter(
    (velocity) => sampleRate / driveFrequency(drive, velocity, stroke) >= least,
  );
  const velocities = fitting.length >= 2 ? fitting : [0.1, 0.2];
  const steps = velocities.map((velocity): PlannedStep => ({ velocity, stroke, cycles, setting: {} }));
  const mode = overrides.dwell ?? random.pick(['gap', 'hold', 'none', 'ramp'] as const);
  const startPhase = overrides.startPhase ?? random.pick([0, 0.25, random.uniform(0.05, 0.95)]);
  const trailingPhase = overrides.trailingPhase ?? (random.chance(0.33) ? random.uniform(0.1, 0.7) : 0);
  const plan: SimulatedPlan = {
    drive,
    steps,
    midPosition: stroke / 2 + random.uniform(0.005, 0.02),
    dwell: { mode, duration: random.uniform(0.1, 0.6) },
    startPhase,
    trailingPhase,
  };
  const withVelocity = overrides.velocityChannel ?? random.chance(0.5);
  const bench: SimulatedBench = {
    sampleRate,
    forceNoise: overrides.forceNoise ?? random.uniform(0, 15),
    forceStep: 0.01,
    forceZero: overrides.forceZero ?? random.uniform(-30, 30),
    forceDrift: overrides.forceDrift ?? random.uniform(-6, 6),
    movingMass: 0,
    displacementStep: overrides.displacementStep ?? 1e-5,
    displacementNoise: 0,
    displacementZero: random.uniform(-0.002, 0.002),
    displacementDrift: overrides.displacementDrift ?? random.uniform(-0.001, 0.001),
    ...(withVelocity ? { velocityChannel: { noise: 0, step: 1e-6 } } : {}),
    temperatureStep: 0.1,
    temperatureNoise: 0.05,
  };
  return { plan, bench };
}

/** Peak speeds of common plans [m/s], or a random staircase whose steps are at least 4 % apart. */
function randomVelocities(random: RandomSource): readonly number[] {
  const kind = random.next();
  if (kind < 0.25) return Array.from({ length: 10 }, (_, index) => (index + 1) / 10);
  if (kind < 0.4) return [0.13, 0.26, 0.52, 1.04];
  if (kind < 0.6) return [0.01, 0.025, 0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2];
  if (kind < 0.75) return [0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.9];
  const velocities: number[] = [];
  let velocity = random.uniform(0.03, 0.15);
  while (velocity < 1.5 && velocities.length < 14) {
    velocities.push(Math.round(velocity * 1e4) / 1e4);
    velocity *= random.uniform(1.042, 1.8);
  }
  return velocities;
}

import type { PlannedStep, SimulatedBench, SimulatedPlan } from '../bench';

/** Test plans of the two specs; the same figures stand in their `.damper.yaml`. SI. */
export interface SampleSpec {
  readonly velocities: readonly number[];
  readonly stroke: number;
  readonly midPosition: number;
  readonly delivery: Readonly<Record<string, number>>;
  /** Of a step; 3 where absent. */
  readonly cycles?: number;
  readonly clicks: Readonly<Record<string, number>>;
  /** Clicks from one setting of a sweep to the next. */
  readonly sweepStride: Readonly<Record<string, number>>;
}

const STAIRCASE = Array.from({ length: 10 }, (_, index) => (index + 1) / 10);
const CYCLES = 3;
/** A cycle at a slower speed than this takes half a minute; two of them do [m/s]. */
const CREEP = 0.01;
/** Long enough for the fan to bring the damper back to the room's temperature [s]. */
const PAUSE_BETWEEN_SETTINGS = 300;

export const SPECS: Readonly<Record<'larch-front' | 'larch-rear' | 'larch-check', SampleSpec>> = {
  'larch-front': {
    velocities: [0.025, 0.05, ...STAIRCASE],
    stroke: 0.04,
    midPosition: 0.075,
    delivery: { LSC: 6, HSC: 4, R: 6 },
    clicks: { LSC: 12, HSC: 8, R: 12 },
    sweepStride: { LSC: 2, HSC: 2, R: 2 },
  },
  'larch-rear': {
    velocities: [0.05, ...STAIRCASE],
    stroke: 0.04,
    midPosition: 0.06,
    delivery: { C: 5, R: 5 },
    clicks: { C: 10, R: 10 },
    sweepStride: { C: 2, R: 1 },
  },
  'larch-check': {
    velocities: [0.005, 0.025, 0.05, ...STAIRCASE],
    stroke: 0.04,
    midPosition: 0.06,
    delivery: {},
    cycles: 4,
    clicks: {},
    sweepStride: {},
  },
};

export const BENCHES: Readonly<Record<'bench-1' | 'bench-2', SimulatedBench>> = {
  'bench-1': bench({ forceNoise: 2, forceStep: 0.5, movingMass: 0.8 }),
  'bench-2': bench({ forceNoise: 2.5, forceStep: 0.1, movingMass: 1.4 }),
};

function bench(own: Pick<SimulatedBench, 'forceNoise' | 'forceStep' | 'movingMass'>): SimulatedBench {
  return {
    ...own,
    sampleRate: 500,
    forceZero: 0,
    forceDrift: 0,
    displacementStep: 1e-5,
    displacementNoise: 0,
    displacementZero: 0,
    displacementDrift: 0.00005,
    velocityChannel: { noise: 0, step: 1e-4 },
    temperatureStep: 0.1,
    temperatureNoise: 0.03,
  };
}

export function deliveryPlan(spec: SampleSpec): SimulatedPlan {
  return planOf(spec, stepsAt(spec, spec.delivery));
}

/** Full hard to full soft in strides, then full hard again: a sweep that closes. */
export function sweepPlan(spec: SampleSpec, adjuster: string): SimulatedPlan {
  const last = spec.clicks[adjuster]!;
  const stride = spec.sweepStride[adjuster]!;
  const positions = Array.from({ length: last / stride + 1 }, (_, index) => index * stride);
  const steps = [...positions, 0].flatMap((position, index) => {
    const [first, ...others] = stepsAt(spec, { ...spec.delivery, [adjuster]: position });
    return index === 0 ? [first!, ...others] : [{ ...first!, pauseBefore: PAUSE_BETWEEN_SETTINGS }, ...others];
  });
  return planOf(spec, steps);
}

/** Slowly in and out at three constant speeds: gas, and friction as what is left of force towards none. */
export function staticPlan(spec: SampleSpec): SimulatedPlan {
  const steps = [0.0025, 0.005, 0.01].map((velocity) => ({
    velocity,
    stroke: spec.stroke,
    cycles: 2,
    setting: spec.delivery,
  }));
  return { ...planOf(spec, steps), drive: 'triangle' };
}

const ENDURANCE_SPEED = 0.6;
const ENDURANCE_CYCLES = 1000;
/** Long enough to come within a kelvin or two of the room [s]. */
const COOLING = 600;

/** A few minutes at one speed, then the same speed once more after the damper has cooled: what is still missing then is worn. */
export function endurancePlan(spec: SampleSpec): SimulatedPlan {
  const step = { velocity: ENDURANCE_SPEED, stroke: spec.stroke, setting: spec.delivery };
  return planOf(spec, [
    { ...step, cycles: ENDURANCE_CYCLES },
    { ...step, cycles: 12, pauseBefore: COOLING },
  ]);
}

/** The bench records long runs at half its rate. */
export const LONG_RUN_BENCH: SimulatedBench = { ...BENCHES['bench-1'], sampleRate: 250 };

function stepsAt(spec: SampleSpec, setting: Readonly<Record<string, number>>): PlannedStep[] {
  return spec.velocities.map((velocity) => ({
    velocity,
    stroke: spec.stroke,
    cycles: velocity < CREEP ? 2 : (spec.cycles ?? CYCLES),
    setting,
  }));
}

function planOf(spec: SampleSpec, steps: readonly PlannedStep[]): SimulatedPlan {
  return {
    drive: 'sine',
    steps,
    midPosition: spec.midPosition,
    dwell: { mode: 'hold', duration: 0.2 },
    startPhase: 0,
    trailingPhase: 0.02,
  };
}

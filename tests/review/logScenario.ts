import type { LogEvent, ReducedLog, ReducedStep, StepSide } from '../../src/analysis/reducedLog';
import { PHASE_BINS, TRAVEL_BINS } from '../../src/analysis/reducedLog';
import type { MeasuredPoint, RunAnalysis, UncertaintyPart } from '../../src/analysis/runAnalysis';
import type { Side } from '../../src/analysis/side';
import { SIDES } from '../../src/analysis/side';
import type { TestLogHead } from '../../src/files/testLog';
import type { LogUnderReview } from '../../src/review/judgeInput';
import { DELIVERY, GAS, referenceDamping, VELOCITIES } from './scenario';

/** The log behind the tests of scenario.ts, as reduced and analysed. */

export function aHead(changes: Partial<TestLogHead> = {}): TestLogHead {
  return {
    file: 'dampers/F-017/build-2/alder-front.testlog.csv',
    spec: 'alder-front',
    serial: 'F-017',
    build: '2',
    date: '2026-03-14T10:22:00Z',
    bench: 'bench-1',
    kind: 'staircase',
    basis: { drive: 'sine', stroke: 0.05, midPosition: 0.035, temperatureAt: 'body', forceZero: 'unloaded' },
    setting: { LSC: 8, HSC: 3, R: 6 },
    columns: [],
    headerLine: 12,
    positionOf: () => ({ line: 5, column: 1 }),
    ...changes,
  };
}

const NO_BINS = new Float64Array(0);

function aStepSide(side: Side, velocity: number): StepSide {
  const bins = { count: new Float64Array(PHASE_BINS), displacement: NO_BINS, speed: NO_BINS, force: NO_BINS };
  return {
    peakSpeed: velocity,
    force: GAS + referenceDamping(side, velocity),
    cycleSpread: 1,
    cycleScatter: 1,
    fitVariance: 1,
    fitSamples: 40,
    peakAcceleration: (velocity * velocity) / 0.025,
    strokeTime: (Math.PI * 0.025) / velocity,
    phase: bins,
    travel: { ...bins, count: new Float64Array(TRAVEL_BINS), mirroredDisplacement: NO_BINS, mirroredForce: NO_BINS },
    roughness: { meanSquare: 1, samples: 100 },
    trendP: 0.5,
  };
}

export function aStep(velocity: number, index: number, changes: Partial<ReducedStep> = {}): ReducedStep {
  const series = new Float64Array(4);
  const end = { samples: 0, displacement: 0 };
  return {
    setting: [],
    firstRow: 1000 * index,
    lastRow: 1000 * index + 999,
    startTime: index,
    endTime: index + 1,
    drive: 'sine',
    frequency: velocity / (2 * Math.PI * 0.025),
    amplitude: 0.025,
    middle: 0,
    cyclesFound: 5,
    cyclesUsed: 4,
    temperature: { first: 308.15, last: 308.15, mean: 308.15 },
    compression: aStepSide('compression', velocity),
    rebound: aStepSide('rebound', velocity),
    cycles: {
      firstUsed: 0,
      startTime: series,
      compressionForce: Float64Array.of(1, 2, 3, 4),
      reboundForce: Float64Array.of(-1, -2, -3, -4),
      compressionSpeed: series,
      reboundSpeed: series,
      energy: series,
    },
    energy: 50,
    slow: {
      normal: new Float64Array(49),
      right: new Float64Array(7),
      displacementRight: new Float64Array(7),
      sumOfSquares: 0,
      positive: end,
      negative: end,
    },
    ...changes,
  };
}

export function aLog(
  changes: { head?: Partial<TestLogHead>; reduced?: Partial<ReducedLog>; events?: readonly LogEvent[] } = {},
): LogUnderReview {
  return {
    head: aHead(changes.head),
    reduced: {
      rows: 10_000,
      duration: 100,
      sampleInterval: 0.001,
      displacementNoise: 1e-6,
      forceNoise: 1,
      displacementRange: [-0.025, 0.025],
      forceRange: [-2500, 2100],
      steps: VELOCITIES.map((velocity, i) => aStep(velocity, i)),
      events: changes.events ?? [],
      ...changes.reduced,
    },
    lineOfRow: (row) => row + 13,
  };
}

export interface AnalysisOptions {
  readonly drift?: (side: Side, velocity: number) => number;
  readonly parts?: readonly UncertaintyPart[];
  readonly U?: number;
  readonly changes?: Partial<RunAnalysis>;
}

/** The analysis that belongs to `aLog()` and `aResult()`. */
export function anAnalysis(options: AnalysisOptions = {}): RunAnalysis {
  const { drift = () => 0, U = 2 } = options;
  const parts = options.parts ?? [{ name: 'cycles', u: U / 2, df: 60 }];
  const points = VELOCITIES.flatMap((velocity, step) =>
    SIDES.map((side): MeasuredPoint => {
      const damping = referenceDamping(side, velocity) + drift(side, velocity);
      return {
        key: { log: 0, step },
        setting: DELIVERY,
        pass: 1,
        side,
        speed: velocity,
        cycles: 4,
        force: GAS + damping,
        damping,
        uncertainty: { U, coverageFactor: 2, degreesOfFreedom: 60, parts, benchIncluded: true },
        temperature: 308.15,
      };
    }),
  );
  return {
    points,
    loops: VELOCITIES.map((speed, step) => ({
      key: { log: 0, step },
      setting: DELIVERY,
      pass: 1,
      speed,
      drive: 'sine',
      frequency: speed / (2 * Math.PI * 0.025),
      amplitude: 0.025,
      energy: 50,
      energySpread: 0.1,
      equivalentDamping: 5000,
      meanPower: 30,
      symmetry: { compression: 1, rebound: 1 },
      curve: { displacement: NO_BINS, force: NO_BINS, velocity: NO_BINS },
    })),
    voids: [],
    drops: [],
    roughness: [],
    lags: [],
    gas: { source: 'fit', force: GAS, u: 2, rate: 1860, friction: 12, frictionU: 1, temperature: 304.15 },
    notSettled: [],
    tooSlow: [],
    ...options.changes,
  };
}

import type { RunContext } from '../../src/analysis/analyseRun';
import { analyseRun } from '../../src/analysis/analyseRun';
import { reduceLog } from '../../src/analysis/reduceLog';
import type { ReducedLog } from '../../src/analysis/reducedLog';
import type { RunAnalysis } from '../../src/analysis/runAnalysis';
import type { SimulatedBench, SimulatedPlan } from '../simulator/bench';
import { PERFECT_BENCH } from '../simulator/bench';
import type { SimulatedDamper } from '../simulator/damper';
import { powerLawValve } from '../simulator/damper';
import type { BenchRun } from '../simulator/runBench';
import { runBench } from '../simulator/runBench';
import { chunksOf } from '../simulator/sampleChunks';

/** 18 mm rod: 254.469 mm2. */
export const ROD_AREA = (Math.PI * 0.018 ** 2) / 4;
/** Mid-stroke of the test from full extension [m]. */
export const MIDDLE = 0.04;

/**
 * A damper whose numbers can be worked out by hand: valves of 2000 N s/m and 3000 N s/m, friction 40 N at any speed, and 12 bar behind an
 * 18 mm rod in 100 cm3, held at one temperature's pressure: at 40 mm and 20 C (1.2 + 0.101325) MPa x 100 / (100 - 254.469 mm2 x 40 mm),
 * that is 1.448799 MPa, less 0.101325 MPa, times 254.469 mm2, that is 342.889 N.
 */
export const PLAIN: SimulatedDamper = {
  valves: { compression: powerLawValve(2000, 1), rebound: powerLawValve(3000, 1) },
  gas: { rodDiameter: 0.018, pressure: 12e5, volume: 100e-6, exponent: 1 },
  friction: 40,
  frictionSpeed: 0.0002,
  lag: 0,
  adjusters: [],
  faults: {},
};
export const GAS_AT_MIDDLE = 342.889;
/** Slope of that gas force: 1.448799 MPa x (254.469 mm2)^2 / 89.8212 cm3. */
export const RATE_AT_MIDDLE = 1044.5;

export interface PlainTest {
  readonly damper?: Partial<SimulatedDamper>;
  readonly bench?: Partial<SimulatedBench>;
  readonly plan?: Partial<SimulatedPlan>;
  readonly velocities?: readonly number[];
  readonly cycles?: number;
  readonly stroke?: number;
  /** Log the temperature. */
  readonly temperature?: boolean;
  /** [K], 20 C where absent. */
  readonly startTemperature?: number;
}

/** A staircase of this damper on a bench without errors of its own, 50 mm stroke, reduced. */
export async function runPlain(test: PlainTest = {}): Promise<{ readonly run: BenchRun; readonly log: ReducedLog }> {
  const { velocities = [0.03, 0.1, 0.3, 0.6], cycles = 5, stroke = 0.05, temperature = false } = test;
  const plan: SimulatedPlan = {
    drive: 'sine',
    midPosition: MIDDLE,
    dwell: { mode: 'gap', duration: 0.2 },
    startPhase: 0,
    trailingPhase: 0,
    steps: velocities.map((velocity) => ({ velocity, stroke, cycles, setting: {} })),
    ...test.plan,
  };
  const bench = { ...PERFECT_BENCH, forceStep: 0.01, displacementStep: 1e-6, ...test.bench };
  const startTemperature = test.startTemperature ?? 293.15;
  const run = runBench({ ...PLAIN, ...test.damper }, plan, bench, { seed: 3, startTemperature });
  return { run, log: await reduceLog(chunksOf(run, 20_000, { temperature }), { adjusters: 0 }) };
}

export function analysePlain(logs: readonly ReducedLog[], context: Partial<RunContext> = {}): RunAnalysis {
  return analyseRun(logs, {
    settings: logs.map(() => []),
    kinds: logs.map(() => 'staircase' as const),
    forceZero: 'unloaded',
    hardware: { rodArea: ROD_AREA },
    ...context,
  });
}

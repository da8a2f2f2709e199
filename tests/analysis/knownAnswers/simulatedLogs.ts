import { analyseRun } from '../../../src/analysis/analyseRun';
import type { RunContext } from '../../../src/analysis/analyseRun';
import { reduceLog } from '../../../src/analysis/reduceLog';
import type { ReducedLog, ReducedStep } from '../../../src/analysis/reducedLog';
import type { RunAnalysis } from '../../../src/analysis/runAnalysis';
import type { Side } from '../../../src/analysis/side';
import type { SimulatedBench } from '../../simulator/bench';
import type { SimulatedDamper } from '../../simulator/damper';
import type { RandomSource } from '../../simulator/random';
import { createRandom } from '../../simulator/random';
import type { PlanOverrides } from '../../simulator/randomCases';
import { randomDamper, randomPlan } from '../../simulator/randomCases';
import type { BenchRun } from '../../simulator/runBench';
import { runBench } from '../../simulator/runBench';
import { chunksOf } from '../../simulator/sampleChunks';
import type { StepTruth } from '../../simulator/truth';
import { meanOfUsedCycles } from '../../simulator/truth';

export interface SimulatedLog extends Simulation {
  readonly name: string;
  readonly log: ReducedLog;
}

export interface Simulation {
  readonly run: BenchRun;
  readonly bench: SimulatedBench;
  readonly damper: SimulatedDamper;
}

/** A random damper on a random plan, simulated and reduced. The same seed gives the same log on every machine. */
export async function simulateLog(
  seed: number,
  overrides: PlanOverrides = {},
  faults: FaultsOf = () => ({}),
): Promise<SimulatedLog> {
  const simulated = simulateBench(seed, overrides, faults);
  return {
    ...simulated,
    name: describeRun(seed, simulated.run, simulated.bench),
    log: await reduceLog(chunksOf(simulated.run, 5000), { adjusters: 0 }),
  };
}

/** What is wrong with the damper, from its stroke on this plan [m]. */
export type FaultsOf = (stroke: number) => SimulatedDamper['faults'];

export function simulateBench(seed: number, overrides: PlanOverrides = {}, faults: FaultsOf = () => ({})): Simulation {
  const random = createRandom(seed);
  const drawn = randomDamper(random);
  const { plan, bench } = randomPlan(random, overrides);
  const damper = { ...drawn, faults: faults(plan.steps[0]!.stroke) };
  return { run: runBench(damper, plan, bench, { seed }), bench, damper };
}

/** The whole path from samples to numbers, as the session takes it for a staircase with the rod known from the spec. */
export async function analyseSimulated(
  { run, damper }: Pick<Simulation, 'run' | 'damper'>,
  context: Partial<RunContext> = {},
): Promise<{ readonly log: ReducedLog; readonly analysis: RunAnalysis }> {
  const log = await reduceLog(chunksOf(run, 20_000), { adjusters: 0 });
  return { log, analysis: analyseReduced(log, damper, context) };
}

export function analyseReduced(
  log: ReducedLog,
  damper: SimulatedDamper,
  context: Partial<RunContext> = {},
): RunAnalysis {
  return analyseRun([log], {
    settings: [[]],
    kinds: ['staircase'],
    forceZero: 'unloaded',
    hardware: damper.gas === undefined ? {} : { rodArea: (Math.PI * damper.gas.rodDiameter ** 2) / 4 },
    ...context,
  });
}

/** The same motion without noise and resolution of the load cell. */
export function withoutNoise(run: BenchRun): BenchRun {
  return { ...run, force: run.cleanForce };
}

/** The same motion of the same damper read by another noise: the clean force with white noise and the recorder's resolution on it. */
export function withNoise(run: BenchRun, noise: number, random: RandomSource): BenchRun {
  return {
    ...run,
    force: run.cleanForce.map((force) => Math.round((force + noise * random.normal()) * 100) / 100),
  };
}

export function describeRun(seed: number, run: BenchRun, bench: SimulatedBench): string {
  const { drive, dwell, steps, startPhase } = run.plan;
  const numbers = `${steps[0]!.cycles} cycles, ${bench.sampleRate} Hz, ${bench.forceNoise.toFixed(1)} N, start ${startPhase.toFixed(2)}`;
  return `seed ${seed}: ${drive}, ${dwell.mode}, ${numbers}`;
}

/** Truth of one side of a step over the cycles that count. */
export function trueForce(truth: StepTruth, side: Side): number {
  return meanOfUsedCycles(side === 'compression' ? truth.compressionForce : truth.reboundForce);
}

/** Steps with their truth, in order; undefined where a step is lost or invented. */
export function matchSteps({
  run,
  log,
}: Pick<SimulatedLog, 'run' | 'log'>): { step: ReducedStep; truth: StepTruth }[] | undefined {
  if (log.steps.length !== run.truth.length) return undefined;
  const pairs = run.truth.map((truth, i) => ({ truth, step: log.steps[i]! }));
  const near = ({ truth, step }: (typeof pairs)[number]): boolean =>
    Math.abs(step.compression.peakSpeed / truth.velocity - 1) < 0.01 &&
    Math.abs(step.rebound.peakSpeed / truth.velocity - 1) < 0.01;
  return pairs.every(near) ? pairs : undefined;
}

/** What is wrong with the steps found: each of the plan is there once, in order, at its speed, with all its cycles, its drive and frequency; and nothing is complained of. */
export function stepFaults(simulated: SimulatedLog): string[] {
  const { name, run, log } = simulated;
  const faults: string[] = log.events.slice(0, 1).map((event) => `${name}: ${JSON.stringify(event)}`);
  const pairs = matchSteps(simulated);
  if (pairs === undefined) {
    const speeds = log.steps.map((step) => step.compression.peakSpeed.toFixed(4)).join(' ');
    return [...faults, `${name}: found ${speeds}, planned ${run.truth.map((truth) => truth.velocity).join(' ')}`];
  }
  for (const { step, truth } of pairs) {
    const planned = truth.energy.length;
    // A ramp's cycle within 2.5 % of a step may join it as its first; it is then the one left out as settling.
    const most = run.plan.dwell.mode === 'ramp' ? planned + 1 : planned;
    if (step.cyclesFound < planned || step.cyclesFound > most) {
      faults.push(`${name}: ${step.cyclesFound} cycles of ${planned} at ${truth.velocity}`);
    }
    if (step.drive !== run.plan.drive) faults.push(`${name}: ${step.drive} at ${truth.velocity}`);
    if (Math.abs(step.frequency / truth.frequency - 1) > 0.005) faults.push(`${name}: frequency at ${truth.velocity}`);
    if (Math.abs((2 * step.amplitude) / truth.stroke - 1) > 0.01) faults.push(`${name}: stroke at ${truth.velocity}`);
  }
  return faults;
}

/** 0, 1 or 2: which third of the plan's speeds a step belongs to. */
export function speedThird(index: number, steps: number): number {
  return Math.min(2, Math.floor((3 * index) / steps));
}

import { bySetting, sameSpeed, stretches } from '../loops/runSteps';
import type { RunStep } from '../loops/runSteps';
import { massStiffness } from '../loops/inertia';
import type { ReducedLog, ReducedStep } from '../reducedLog';
import type { BenchUncertainty, DamperHardware, GasMeasure } from '../runAnalysis';
import { mean, median } from '../statistics/quantile';
import { constantForce, CONSTANT_FORCE_CAUTION } from './constantForce';
import type { SlowFit } from './fitSlowSamples';
import { fitSlowSamples, LEAST_SAMPLES_AN_END } from './fitSlowSamples';
import { followGas } from './gasOverRun';
import type { GasEstimate } from './gasOverRun';
import type { GasModel } from './gasModel';
import { gasFrom, straightGas } from './gasModel';
import { levelAtTurns } from './levelAtTurns';
import { rateWithoutFit } from './rateWithoutFit';
import { gasInMotion } from './gasInMotion';
import type { StaticGas } from './gasInMotion';
import { fitStaticLog } from './staticLog';

/** What all later parts of the analysis take off to get damping force. */
export interface RunGas {
  readonly measure: GasMeasure;
  /** What is taken off a step's force: gas over displacement from mid-stroke, load cell's zero included, or the constant force. */
  modelAt(step: RunStep): GasModel;
  /** Force without damping as loops see it. Where only the constant force is known, the force just before the turning points is nearer to it. */
  zeroLineAt(step: RunStep): GasModel;
  /** Whether the zero line's level can be relied on: `none` on a constant-speed drive, which never comes near zero speed. */
  readonly zeroLine: 'fitted' | 'from turning points' | 'none';
  /** Standard uncertainty of the constant force at a step, from scatter and method, and from its change over the run [N]. */
  uncertaintyAt(step: RunStep): { readonly fit: number; readonly temperature: number };
  /** False where the slope of gas over the stroke is a guess of 0: what depends on it is then left out. */
  readonly rateKnown: boolean;
  readonly friction?: number;
  /** Steps that gas and friction were fitted to. */
  readonly fittedSteps: readonly RunStep[];
}

export interface GasContext {
  readonly hardware?: DamperHardware;
  readonly bench?: BenchUncertainty;
  /** Mid-stroke of the test from full extension [m]. */
  readonly midPosition?: number;
  readonly forceZero?: 'unloaded' | 'mounted' | 'unknown';
}

/** A slower step has its slow samples far from the turning points, where gas at the two ends runs together. */
const SLOWEST_PEAK = 0.02;
/** Scatter may take this many standard deviations before the fit is of no use; limits as promised for the fit. */
const SCATTER_SIGMAS = 2;
const FRICTION_LIMIT = 8;
const FRICTION_LIMIT_RELATIVE = 0.2;
const GAS_LIMIT = 8;
const GAS_LIMIT_RELATIVE = 0.03;
/** Healthy dampers leave at most 5 N beyond noise; play or a hidden void leaves 14 N and more. */
const MOST_UNEXPLAINED = 10;
const UNEXPLAINED_OF_NOISE = 0.7;

/**
 * Gas force and friction of a run: from a static log where there is one, else from the slowest sine step of every setting, else only
 * the constant force, with the reason why.
 */
export function gasOfRun(steps: readonly RunStep[], staticLogs: readonly ReducedLog[], context: GasContext): RunGas {
  const fromStatic = gasFromStaticLogs(steps, staticLogs, context);
  if (fromStatic !== undefined) return fromStatic;
  const fits = slowestFits(steps, context);
  if (fits.length === 0) return gasUnknown(steps, reasonWithoutFit(steps), context);
  const friction = median(fits.map((f) => f.fit.friction));
  const estimates = fits.map(({ step, fit }) => estimateOf(step, fit.model, fit.gasU));
  const course = followGas(estimates);
  const frictionU = Math.max(...fits.map((f) => f.fit.frictionU)) / Math.sqrt(Math.min(fits.length, 4));
  return {
    measure: {
      source: 'fit',
      force: course.mean,
      u: course.meanU,
      rate: median(estimates.map((e) => e.model.rate)),
      rateU: median(fits.map((f) => f.fit.rateU)),
      friction,
      frictionU,
      ...temperatureOf(fits.map((f) => f.step.step)),
      ...(course.change !== undefined && { change: course.change }),
    },
    modelAt: (step) => course.modelAt(step),
    zeroLineAt: (step) => course.modelAt(step),
    zeroLine: 'fitted',
    uncertaintyAt: (step) => course.uncertaintyAt(step),
    rateKnown: true,
    friction,
    fittedSteps: fits.map((f) => f.step),
  };
}

/** Only the constant force is known; `reason` says why. */
export function gasUnknown(steps: readonly RunStep[], reason: string, context: GasContext): RunGas {
  const constant = constantForce(steps);
  const rate = rateWithoutFit(steps, context.hardware, context.midPosition);
  const model = straightGas(constant.force, rate ?? 0);
  const level = levelAtTurns(steps);
  const zeroLine = straightGas(level ?? constant.force, rate ?? 0);
  return {
    measure: {
      source: 'none',
      force: constant.force,
      u: constant.u,
      ...temperatureOf(steps.map((s) => s.step)),
      reason: `${reason}; ${CONSTANT_FORCE_CAUTION}`,
    },
    modelAt: () => model,
    zeroLineAt: () => zeroLine,
    zeroLine: level === undefined ? 'none' : 'from turning points',
    uncertaintyAt: () => ({ fit: constant.u, temperature: 0 }),
    rateKnown: rate !== undefined,
    fittedSteps: [],
  };
}

function gasFromStaticLogs(
  steps: readonly RunStep[],
  staticLogs: readonly ReducedLog[],
  context: GasContext,
): RunGas | undefined {
  const fits = staticLogs.map(fitStaticLog).filter((fit) => fit !== undefined);
  const middle = median(steps.map((s) => s.step.middle));
  const fit = fits.find((f) => Math.abs(middle - f.middle) <= f.amplitude);
  if (fit === undefined || steps.length === 0) return gasFromStaticSine(steps, staticLogs, context);
  const gas = shiftedGas(fit.model, middle - fit.middle, fit.gasU, fit.temperature, true);
  return staticGas(gas, fit.friction, fit.frictionU, context);
}

/** A static log driven by a slow sine has slow samples like any other step. */
function gasFromStaticSine(
  steps: readonly RunStep[],
  staticLogs: readonly ReducedLog[],
  context: GasContext,
): RunGas | undefined {
  const middle = median(steps.map((s) => s.step.middle));
  for (const log of staticLogs) {
    for (const step of log.steps) {
      const fit = usableFit(step, log.forceNoise, context);
      const shift = middle - step.middle;
      if (fit === undefined || !(Math.abs(shift) <= step.amplitude)) continue;
      const gas = shiftedGas(fit.model, shift, fit.gasU, step.temperature?.mean, false);
      return staticGas(gas, fit.friction, fit.frictionU, context);
    }
  }
  return undefined;
}

/** Gas of a static log about the mid-stroke of the test. */
function shiftedGas(
  model: GasModel,
  shift: number,
  u: number,
  temperature: number | undefined,
  heldStill: boolean,
): StaticGas {
  return { model: gasFrom(model, shift), u, heldStill, ...(temperature !== undefined && { temperature }) };
}

function staticGas(gas: StaticGas, friction: number, frictionU: number, context: GasContext): RunGas {
  const moving = gasInMotion(gas, context);
  const model = moving.modelAt();
  const modelAt = (step: RunStep): GasModel => moving.modelAt(step.step.temperature?.mean);
  return {
    measure: {
      source: 'static',
      force: model.force,
      u: moving.uncertaintyAt().fit,
      rate: model.rate,
      friction,
      frictionU,
      ...(gas.temperature !== undefined && { temperature: gas.temperature }),
      ...(moving.missing !== undefined && { reason: withoutSqueeze(moving.missing) }),
    },
    modelAt,
    zeroLineAt: modelAt,
    zeroLine: 'fitted',
    uncertaintyAt: (step) => moving.uncertaintyAt(step.step.temperature?.mean),
    rateKnown: true,
    friction,
    fittedSteps: [],
  };
}

function withoutSqueeze(missing: string): string {
  return `from a static log; what moving adds is not known without ${missing}, so it is in the uncertainty alone`;
}

interface StepFit {
  readonly step: RunStep;
  readonly fit: SlowFit;
}

/** The slowest sine step of every stretch at one setting, and its repeats, as far as they can be fitted. */
function slowestFits(steps: readonly RunStep[], context: GasContext): StepFit[] {
  return stretches(steps).flatMap((stretch) => {
    const sine = stretch.filter((s) => s.step.drive === 'sine').sort((a, b) => a.speed - b.speed);
    const candidates = [
      ...sine.filter((s) => s.speed >= SLOWEST_PEAK),
      ...sine.filter((s) => s.speed < SLOWEST_PEAK).reverse(),
    ];
    for (const candidate of candidates) {
      const alike = stretch.filter((s) => s.step.drive === 'sine' && sameSpeed(s.speed, candidate.speed));
      const fits = alike.flatMap((step) => {
        const fit = usableFit(step.step, step.log.forceNoise, context);
        return fit === undefined ? [] : [{ step, fit }];
      });
      if (fits.length > 0) return fits.sort((a, b) => a.step.key.step - b.step.key.step);
    }
    return [];
  });
}

function usableFit(step: ReducedStep, noise: number, context: GasContext): SlowFit | undefined {
  if (step.drive !== 'sine') return undefined;
  const fit = fitSlowSamples(step.slow, context.hardware?.rodArea, massStiffness(step, context.bench));
  if (fit === undefined || !Number.isFinite(fit.model.force) || !(fit.friction > -FRICTION_LIMIT)) return undefined;
  const gasLimit = Math.max(GAS_LIMIT, GAS_LIMIT_RELATIVE * Math.abs(fit.model.force));
  const frictionLimit = Math.max(FRICTION_LIMIT, FRICTION_LIMIT_RELATIVE * fit.friction);
  const clear = SCATTER_SIGMAS * fit.gasScatter <= gasLimit && SCATTER_SIGMAS * fit.frictionScatter <= frictionLimit;
  return clear && !fit.hysteretic && followsLines(fit, noise) ? fit : undefined;
}

/** Whether noise explains what the straight lines leave, but for the bend that valves have at these speeds. */
function followsLines(fit: SlowFit, noise: number): boolean {
  const unexplained = Math.sqrt(Math.max(0, fit.residual ** 2 - noise ** 2));
  return unexplained <= Math.max(MOST_UNEXPLAINED, UNEXPLAINED_OF_NOISE * noise);
}

function reasonWithoutFit(steps: readonly RunStep[]): string {
  if (steps.length === 0) return 'needs a creep step: the log has no complete step';
  if (steps.every((s) => s.step.drive !== 'sine') && steps.some((s) => s.step.drive === 'other'))
    return 'needs a creep step with a sine drive, or a static log: this drive is no sine';
  if (steps.every((s) => s.step.drive !== 'sine'))
    return 'needs a creep step with a sine drive, or a static log: a constant-speed drive never moves slowly, so that valves, friction and gas cannot be told apart';
  const slowest = bySetting(steps)
    .flat()
    .filter((s) => s.step.drive === 'sine')
    .reduce((a, b) => (b.speed < a.speed ? b : a));
  const { positive, negative } = slowest.step.slow;
  const samples = Math.min(positive.samples, negative.samples);
  const speed = `${(1000 * slowest.speed).toFixed(0)} mm/s`;
  if (samples < LEAST_SAMPLES_AN_END)
    return `needs a creep step: the slowest one, ${speed}, has only ${samples} samples between 4 and 15 mm/s at one end, and ${LEAST_SAMPLES_AN_END} are needed`;
  const fit = fitSlowSamples(slowest.step.slow, undefined, 0);
  if (fit?.hysteretic === true)
    return `needs a creep step: after each reversal of the slowest one, ${speed}, force builds up over travel, which hides gas and friction`;
  if (fit !== undefined && !followsLines(fit, slowest.log.forceNoise))
    return `needs a creep step: force near the turning points of the slowest one, ${speed}, does not follow gas, friction and valves; look for play or a void`;
  return `needs a creep step: the slow samples of the slowest one, ${speed}, scatter too much to tell gas and friction from the valves`;
}

function estimateOf(step: RunStep, model: GasModel, u: number): GasEstimate {
  const temperature = step.step.temperature?.mean;
  return {
    model,
    u,
    log: step.key.log,
    time: (step.step.startTime + step.step.endTime) / 2,
    ...(temperature !== undefined && { temperature }),
  };
}

function temperatureOf(steps: readonly ReducedStep[]): { readonly temperature?: number } {
  const known = steps.flatMap((s) => (s.temperature === undefined ? [] : [s.temperature.mean]));
  return known.length > 0 ? { temperature: mean(known) } : {};
}

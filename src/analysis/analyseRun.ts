import { CHARGE_TEMPERATURE, expectedGasForce, EXPONENT_MOVING } from './gas/expectedGasForce';
import { gasOfRun, gasUnknown } from './gas/gasOfRun';
import type { RunGas } from './gas/gasOfRun';
import { SLOW_FROM, SLOW_TO } from './gas/slowSamples';
import { lagsOfRun } from './loops/lag';
import { dropsOfRun } from './loops/localDrop';
import { loopsOfRun } from './loops/loopMeasures';
import { roughnessOfRun } from './loops/roughnessMeasures';
import { stepsOfRun } from './loops/runSteps';
import type { RunStep } from './loops/runSteps';
import { speedAfter, voidsOfRun } from './loops/voids';
import { notSettled } from './points/settling';
import type { ReducedLog } from './reducedLog';
import type { BenchUncertainty, DamperHardware, RunAnalysis, VoidMeasure } from './runAnalysis';
import { SIDES } from './side';
import { mean } from './statistics/quantile';
import { measuredPoints } from './uncertainty/measuredPoints';

/** What the analysis must be told, as no sample says it. */
export interface RunContext {
  /** Per log the full setting, for steps whose own `setting` is empty. */
  readonly settings: readonly (readonly number[])[];
  /** Per log what it is; static logs give gas and friction and no points. */
  readonly kinds: readonly ('staircase' | 'sweep' | 'endurance' | 'static' | 'replay')[];
  readonly bench?: BenchUncertainty;
  readonly hardware?: DamperHardware;
  readonly forceZero: 'unloaded' | 'mounted' | 'unknown';
  /** Mid-stroke of the test from full extension [m]. */
  readonly midPosition?: number;
}

/** Fit windows with fewer samples are too slow a sampling. */
const LEAST_FIT_SAMPLES = 9;
/** A void too short to be reported can still spoil the fit of gas and friction. */
const HIDDEN_VOID_SHARE = 0.5;

/**
 * Everything the analysis says of one run, from its reduced logs alone. Pure: the same logs and context give the same numbers.
 * @param logs of one serial, build and run, with the static logs of that build.
 */
export function analyseRun(logs: readonly ReducedLog[], context: RunContext): RunAnalysis {
  const isStatic = (log: number): boolean => context.kinds[log] === 'static';
  const steps = stepsOfRun(logs, context.settings, isStatic);
  const staticLogs = logs.filter((_, i) => isStatic(i));
  const { gas, voids } = gasAndVoids(steps, staticLogs, context);
  return {
    points: measuredPoints(steps, { ...context, gas }),
    loops: loopsOfRun(steps, gas, context.bench),
    voids,
    drops: dropsOfRun(steps, gas, context.bench, voids),
    roughness: roughnessOfRun(steps),
    lags: lagsOfRun(steps, gas, context.bench, voids),
    gas: gas.measure,
    notSettled: notSettled(steps),
    tooSlow: tooSlow(steps),
    cannotShow: cannotShow(steps, gas),
  };
}

/**
 * A void can only be seen once gas is taken off, and one that ends among the slow samples spoils the fit of gas and friction. That fit is
 * still near enough to zero damping to find the void by, but not to be reported: gas and friction are then left out.
 */
function gasAndVoids(
  steps: readonly RunStep[],
  staticLogs: readonly ReducedLog[],
  context: RunContext,
): { readonly gas: RunGas; readonly voids: readonly VoidMeasure[] } {
  const gas = gasOfRun(steps, staticLogs, context);
  const voidContext = { ...context, ...expectedGas(steps, context) };
  const voids = voidsOfRun(steps, gas, voidContext);
  const inTheWay = gas.fittedSteps.length > 0 ? voidsOfRun(steps, gas, voidContext, HIDDEN_VOID_SHARE) : [];
  if (!gas.fittedSteps.some((run) => inTheWay.some((v) => straddles(run, v)))) return { gas, voids };
  const without = gasUnknown(steps, 'needs a creep step: a void after reversal ends among the slow samples', context);
  return { gas: without, voids };
}

/** Gas force of the spec's hardware at the test's mid-stroke and mean temperature. */
function expectedGas(steps: readonly RunStep[], context: RunContext): { readonly expectedGas?: number } {
  const temperatures = steps.flatMap((s) => (s.step.temperature === undefined ? [] : [s.step.temperature.mean]));
  const temperature = temperatures.length > 0 ? mean(temperatures) : CHARGE_TEMPERATURE;
  const expected = expectedGasForce(context.hardware ?? {}, context.midPosition ?? 0, temperature, EXPONENT_MOVING);
  return expected === undefined ? {} : { expectedGas: expected };
}

/** Whether a void at the step's setting ends where the step moves at the speeds of the slow samples, or close by. */
function straddles(run: RunStep, found: VoidMeasure): boolean {
  const speed = speedAfter(run, found.side, found.length);
  return found.setting.join(' ') === run.settingName && speed > 0.8 * SLOW_FROM && speed < 1.25 * SLOW_TO;
}

function tooSlow(steps: readonly RunStep[]): RunAnalysis['tooSlow'] {
  return steps.flatMap((run) =>
    SIDES.flatMap((side) => {
      const samples = run.step[side].fitSamples;
      return samples < LEAST_FIT_SAMPLES ? [{ step: run.key, side, samples }] : [];
    }),
  );
}

function cannotShow(steps: readonly RunStep[], gas: RunGas): string[] {
  const sentences: string[] = [];
  if (steps.some((s) => s.step.drive === 'triangle')) {
    sentences.push(
      'On a constant-speed drive symmetry does not see a void after reversal; the void itself is looked for on its own.',
    );
    sentences.push(
      'On a constant-speed drive lag, hysteresis and a local drop of force are not looked for: each needs one place passed at several speeds.',
    );
  }
  if (!gas.rateKnown)
    sentences.push(
      'The slope of gas force over the stroke is not known, so symmetry, hysteresis and local drops are not judged.',
    );
  if (steps.some((s) => s.step.drive === 'sine') && gas.rateKnown)
    sentences.push(
      'A local drop at mid-stroke of the fastest step cannot be seen: no other place is passed at that speed.',
    );
  sentences.push('Loops do not show a slow leak of a seal.');
  return sentences;
}

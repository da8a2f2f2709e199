import type { RunStep } from '../loops/runSteps';
import { leastSquares } from '../statistics/leastSquares';
import { mean, median } from '../statistics/quantile';
import type { GasModel } from './gasModel';

/** Gas as one slow step shows it. */
export interface GasEstimate {
  readonly model: GasModel;
  /** Standard uncertainty of its force [N]. */
  readonly u: number;
  readonly temperature?: number;
  /** Where and when it was taken. */
  readonly log?: number;
  readonly time?: number;
}

export interface GasCourse {
  readonly mean: number;
  readonly meanU: number;
  /** Last estimate less the first, where there are two or more [N]. */
  readonly change?: number;
  modelAt(step: RunStep): GasModel;
  uncertaintyAt(step: RunStep): { readonly fit: number; readonly temperature: number };
}

/** Estimates this far apart in temperature carry a slope over it [K]. */
const TEMPERATURE_SPAN = 2;
/** A difference beyond this, with no temperature to explain it, is an uncertainty [N]. */
const UNEXPLAINED_CHANGE = 10;
/** Absolute gas pressure, and so roughly gas force, goes with absolute temperature: share a kelvin at room temperature. */
const SHARE_PER_KELVIN = 1 / 300;

/**
 * Gas force through a run: interpolated by temperature where the estimates differ in it, else in time within each log. One estimate
 * holds for the whole run; what temperature may have done since enters the uncertainty.
 */
export function followGas(estimates: readonly GasEstimate[]): GasCourse {
  const forces = estimates.map((e) => e.model.force);
  const average = mean(forces);
  const ownU = Math.sqrt(mean(estimates.map((e) => e.u * e.u)));
  const change = estimates.length >= 2 ? forces.at(-1)! - forces[0]! : undefined;
  const byTemperature = temperatureLine(estimates);
  const unexplained =
    change !== undefined &&
    byTemperature === undefined &&
    Math.abs(change) > UNEXPLAINED_CHANGE &&
    !haveTemperatures(estimates)
      ? Math.abs(change) / Math.sqrt(12)
      : 0;
  const levelAt = byTemperature ?? ((step: RunStep): number => levelInTime(estimates, step));
  const shape = middleModel(estimates);
  return {
    mean: average,
    meanU: Math.hypot(ownU, unexplained),
    ...(change !== undefined && { change }),
    modelAt: (step) => shiftTo(shape, levelAt(step)),
    uncertaintyAt: (step) => ({
      fit: Math.hypot(ownU, unexplained),
      temperature: byTemperature === undefined ? warmthUnknown(estimates, step) : 0,
    }),
  };
}

function haveTemperatures(estimates: readonly GasEstimate[]): boolean {
  return estimates.every((e) => e.temperature !== undefined);
}

/** Straight line of force over temperature; undefined where the estimates do not differ in it. */
function temperatureLine(estimates: readonly GasEstimate[]): ((step: RunStep) => number) | undefined {
  const temperatures = estimates.flatMap((e) => (e.temperature === undefined ? [] : [e.temperature]));
  if (
    temperatures.length < estimates.length ||
    Math.max(...temperatures) - Math.min(...temperatures) < TEMPERATURE_SPAN
  )
    return undefined;
  const centre = mean(temperatures);
  const fit = leastSquares(
    temperatures.map((t) => [1, t - centre]),
    estimates.map((e) => e.model.force),
  );
  if (fit === undefined) return undefined;
  const [level, slope] = fit.coefficients;
  return (step) => level! + slope! * ((step.step.temperature?.mean ?? centre) - centre);
}

/** Between the estimates of the step's own log, straight in time and level beyond them; the mean of all where its log has none. */
function levelInTime(estimates: readonly GasEstimate[], step: RunStep): number {
  const own = estimates.filter((e) => e.log === step.key.log && e.time !== undefined).sort((a, b) => a.time! - b.time!);
  const first = own[0];
  if (first === undefined) return mean(estimates.map((e) => e.model.force));
  const time = (step.step.startTime + step.step.endTime) / 2;
  let before = first;
  for (const after of own) {
    if (time <= after.time!) {
      if (after === before || time <= before.time!) return before.model.force;
      const share = (time - before.time!) / (after.time! - before.time!);
      return before.model.force + share * (after.model.force - before.model.force);
    }
    before = after;
  }
  return before.model.force;
}

/** Standard uncertainty [N] for the warming since the nearest estimate, where no slope over temperature could be had. */
function warmthUnknown(estimates: readonly GasEstimate[], step: RunStep): number {
  const here = step.step.temperature?.mean;
  if (here === undefined || !haveTemperatures(estimates)) return 0;
  const apart = Math.min(...estimates.map((e) => Math.abs(e.temperature! - here)));
  return (apart * SHARE_PER_KELVIN * Math.abs(mean(estimates.map((e) => e.model.force)))) / Math.sqrt(3);
}

function middleModel(estimates: readonly GasEstimate[]): GasModel {
  const rate = median(estimates.map((e) => e.model.rate));
  return estimates.reduce((a, b) => (Math.abs(b.model.rate - rate) < Math.abs(a.model.rate - rate) ? b : a)).model;
}

function shiftTo(model: GasModel, force: number): GasModel {
  const shift = force - model.force;
  return { force, rate: model.rate, at: (x) => model.at(x) + shift };
}

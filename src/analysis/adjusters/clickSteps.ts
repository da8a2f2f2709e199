import { median } from '../statistics/quantile';
import { levelsOfSweep } from './sweep';
import type { AdjusterSweep, StepLaw } from './sweep';

export interface ClickStep {
  readonly from: number;
  readonly to: number;
  /** This step over the median one, per unit of the adjuster; against the reference's step where one is given. */
  readonly ratio: number;
  /** Standard uncertainty of the ratio; NaN where nothing was repeated. */
  readonly u: number;
  readonly outsideLimits: boolean;
  /** Outside the limits and beyond its uncertainty. */
  readonly uneven: boolean;
  /** Opening makes it harder, beyond its uncertainty. */
  readonly wrongWay: boolean;
}

export interface ClickStepResult {
  readonly steps: readonly ClickStep[];
  /** Median step as a share of damping a unit ('equal-ratio'), or in N ('equal'), at the speed of largest effect. */
  readonly medianStep: number;
  /** The median step is under 3 u: nothing is found by this test. */
  readonly tooSmall: boolean;
  /** False without repeats: limits alone, significance not judged. */
  readonly significanceJudged: boolean;
}

export interface ClickStepOptions {
  readonly law: StepLaw;
  /** Least and most a step may be, as a share of the median one (or of the reference's step). */
  readonly least: number;
  readonly most: number;
  /** The reference's sweep over the same positions, for the law 'as-reference'. */
  readonly reference?: AdjusterSweep;
  /** Natural scatter of the steps of a good adjuster: from the reference's sweep, else NATURAL_SCATTER. */
  readonly scatter?: number;
}

/** Steps of a good adjuster differ by this much by nature where no reference tells (common practice, tried here). */
export const NATURAL_SCATTER = 0.05;
/** Standard deviations beyond which a step is uneven: keeps a sweep of 18 steps under 1 % false findings. */
const BEYOND = 3.6;
const SMALLEST_IN_U = 3;

/**
 * Steps of a sweep against each other. A bare limit calls up to two thirds of even sweeps uneven when clicks are small, so a step
 * counts only beyond its own uncertainty as well.
 */
export function clickSteps(sweep: AdjusterSweep, options: ClickStepOptions): ClickStepResult {
  const { level, u, effect } = levelsOfSweep(sweep, options.law);
  const sizes = differences(level, sweep.positions);
  const typical = median(sizes);
  const reference = options.reference && relativeSteps(options.reference, options.law);
  const scatter = options.scatter ?? (reference ? robustScatter(reference) : NATURAL_SCATTER);
  const judged = sweep.u !== undefined;
  const typicalU = judged ? median(sizes.map((_, i) => stepU(u, sweep.positions, i))) : NaN;
  const tooSmall = judged && typical < SMALLEST_IN_U * typicalU;
  const steps = sizes.map((size, i) => {
    const expected = reference?.[i] ?? 1;
    const ratio = size / typical / expected;
    const uRatio = stepU(u, sweep.positions, i) / Math.abs(typical) / expected;
    const outsideLimits = ratio < options.least || ratio > options.most;
    const beyond = Math.abs(ratio - 1) > BEYOND * Math.hypot(uRatio, scatter);
    return {
      from: sweep.positions[i]!,
      to: sweep.positions[i + 1]!,
      ratio,
      u: uRatio,
      outsideLimits,
      uneven: judged && !tooSmall && outsideLimits && beyond,
      wrongWay: judged && !tooSmall && ratio < -BEYOND * uRatio,
    };
  });
  return { steps, medianStep: typical * Math.max(...effect), tooSmall, significanceJudged: judged };
}

function differences(level: readonly number[], positions: readonly number[]): number[] {
  return level.slice(1).map((next, i) => (next - level[i]!) / (positions[i + 1]! - positions[i]!));
}

function stepU(u: readonly number[], positions: readonly number[], i: number): number {
  return Math.hypot(u[i]!, u[i + 1]!) / (positions[i + 1]! - positions[i]!);
}

function relativeSteps(sweep: AdjusterSweep, law: StepLaw): number[] {
  const sizes = differences(levelsOfSweep(sweep, law).level, sweep.positions);
  const typical = median(sizes);
  return sizes.map((size) => size / typical);
}

/** Robust standard deviation of relative steps about 1. */
function robustScatter(relative: readonly number[]): number {
  return median(relative.map((step) => Math.abs(step - 1))) / 0.6745;
}

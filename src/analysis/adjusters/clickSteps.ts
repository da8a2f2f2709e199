import { median } from '../statistics/quantile';
import { levelsOfSweep } from './sweep';
import type { AdjusterSweep, StepLaw } from './sweep';

export interface ClickStep {
  readonly from: number;
  readonly to: number;
  /** This step over the median one, per unit of the adjuster; against the reference's step where one is given. */
  readonly ratio: number;
  /** Standard uncertainty of the ratio; NaN where the sweep states none. */
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
  /** False without uncertainties or without repeats: limits alone, significance not judged. */
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
  /** False where no setting of the sweep was run a second time: then nothing shows that a setting comes back as it was. */
  readonly repeated?: boolean;
  /** Positions past this one move nothing: their steps are listed, and no step is held against them. */
  readonly deadFrom?: number;
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
  const end = options.deadFrom ?? Infinity;
  const live = (values: readonly number[]): number => median(values.filter((_, i) => sweep.positions[i]! < end));
  const typical = live(sizes);
  const reference = options.reference && relativeSteps(options.reference, options.law, end);
  const scatter =
    options.scatter ?? (options.reference ? naturalScatter(options.reference, options.law) : NATURAL_SCATTER);
  const judged = sweep.u !== undefined && options.repeated !== false;
  const tooSmall =
    sweep.u !== undefined && typical < SMALLEST_IN_U * live(sizes.map((_, i) => stepU(u, sweep.positions, i)));
  const steps = sizes.map((size, i) => {
    const expected = reference?.[i] ?? 1;
    const ratio = size / typical / expected;
    const uRatio = stepU(u, sweep.positions, i) / Math.abs(typical) / Math.abs(expected);
    const outsideLimits = sweep.positions[i]! < end && (ratio < options.least || ratio > options.most);
    const beyond = Math.abs(ratio - 1) > BEYOND * Math.hypot(uRatio, scatter);
    return {
      from: sweep.positions[i]!,
      to: sweep.positions[i + 1]!,
      ratio,
      u: uRatio,
      outsideLimits,
      uneven: judged && !tooSmall && outsideLimits && beyond,
      wrongWay: judged && !tooSmall && size / typical < -BEYOND * uRatio * Math.abs(expected),
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

function relativeSteps(sweep: AdjusterSweep, law: StepLaw, end = Infinity): number[] {
  const sizes = differences(levelsOfSweep(sweep, law).level, sweep.positions);
  const typical = median(sizes.filter((_, i) => sweep.positions[i]! < end));
  return sizes.map((size) => size / typical);
}

/** Fewer steps than this do not tell how much steps scatter. */
const FEW_STEPS = 8;

/**
 * Natural scatter of the steps of a good adjuster: robust standard deviation of the reference's relative steps about 1 (median absolute
 * deviation / 0.6745); never below NATURAL_SCATTER where the reference has fewer than eight steps to tell it from.
 */
export function naturalScatter(reference: AdjusterSweep, law: StepLaw): number {
  const relative = relativeSteps(reference, law);
  const scatter = median(relative.map((step) => Math.abs(step - 1))) / 0.6745;
  return relative.length < FEW_STEPS ? Math.max(NATURAL_SCATTER, scatter) : scatter;
}

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
  /** Natural scatter of steps that judging allowed for. */
  readonly scatter: number;
}

export interface ClickStepOptions {
  readonly law: StepLaw;
  /** Least and most a step may be, as a share of the median one (or of the reference's step). */
  readonly least: number;
  readonly most: number;
  /** The reference's sweep over the same positions, for the law 'as-reference'. */
  readonly reference?: AdjusterSweep;
  /** Natural scatter of the steps of a good adjuster: from the reference's sweep, else from the sweep itself within 5 and 8 %. */
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
/** Standard error of a median over that of a mean, normal values: sqrt(pi / 2). */
const MEDIAN_OVER_MEAN = Math.sqrt(Math.PI / 2);
/** However uneven a sweep is, no more than this counts as its nature. */
const MOST_SCATTER = 0.08;

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
  const typicalU = live(sizes.map((_, i) => stepU(u, sweep.positions, i)));
  const count = sizes.filter((_, i) => sweep.positions[i]! < end).length;
  const medianU = (MEDIAN_OVER_MEAN * typicalU) / Math.sqrt(count);
  const reference = options.reference && relativeSteps(options.reference, options.law, end);
  const own = sizes.filter((_, i) => sweep.positions[i]! < end).map((size) => size / typical);
  const scatter =
    options.scatter ??
    (options.reference ? naturalScatter(options.reference, options.law) : ownScatter(own, typicalU / typical));
  const judged = sweep.u !== undefined && options.repeated !== false;
  const tooSmall = sweep.u !== undefined && typical < SMALLEST_IN_U * typicalU;
  const steps = sizes.map((size, i) => {
    const expected = reference?.[i] ?? 1;
    const ratio = size / typical / expected;
    const uRatio = Math.hypot(stepU(u, sweep.positions, i) / expected, ratio * medianU) / Math.abs(typical);
    const outsideLimits = sweep.positions[i]! < end && (ratio < options.least || ratio > options.most);
    const allowed = Math.hypot(uRatio, scatter, (ratio * MEDIAN_OVER_MEAN * scatter) / Math.sqrt(count));
    return {
      from: sweep.positions[i]!,
      to: sweep.positions[i + 1]!,
      ratio,
      u: uRatio,
      outsideLimits,
      uneven: judged && !tooSmall && outsideLimits && Math.abs(ratio - 1) > BEYOND * allowed,
      wrongWay: judged && !tooSmall && size / typical < -BEYOND * uRatio * Math.abs(expected),
    };
  });
  return { steps, medianStep: typical * Math.max(...effect), tooSmall, significanceJudged: judged, scatter };
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
 * Natural scatter of the steps of a good adjuster, from the reference's relative steps; never below NATURAL_SCATTER where the reference
 * has fewer than eight steps to tell it from.
 */
export function naturalScatter(reference: AdjusterSweep, law: StepLaw): number {
  const relative = relativeSteps(reference, law);
  const scatter = aboutNeighbours(relative);
  return relative.length < FEW_STEPS ? Math.max(NATURAL_SCATTER, scatter) : scatter;
}

/**
 * Robust standard deviation of steps about the mean of their neighbours (median absolute deviation / 0.6745, over sqrt 1.5, which that
 * mean adds), so that steps which grow smaller by design are not taken for scatter. 0 with fewer than three.
 */
function aboutNeighbours(relative: readonly number[]): number {
  const off = relative.slice(1, -1).map((step, i) => Math.abs(step - (relative[i]! + relative[i + 2]!) / 2));
  return off.length === 0 ? 0 : median(off) / 0.6745 / Math.sqrt(1.5);
}

/** Neighbouring steps share a level: independent levels weigh five thirds in the variance of a step about its neighbours. */
const SHARED_LEVELS = 5 / 3;

/** What steps scatter among themselves beyond their uncertainty, where no reference tells; held between 5 and 8 %. */
function ownScatter(relative: readonly number[], u: number): number {
  if (relative.length < FEW_STEPS) return NATURAL_SCATTER;
  const noise = Number.isFinite(u) ? SHARED_LEVELS * u * u : 0;
  const beyond = Math.sqrt(Math.max(0, aboutNeighbours(relative) ** 2 - noise));
  return Math.min(MOST_SCATTER, Math.max(NATURAL_SCATTER, beyond));
}

import { chiSquareQuantile, fQuantile, studentQuantile } from '../statistics/distributions';
import type { CauseFit } from './causeFit';
import { effectsOf, fitCauses } from './causeFit';
import type { Cause, DriftModel, Effect } from './driftModel';
import { driftParts, modelledDrift, sameCause } from './driftModel';
import { chooseCauses, noiseVariance, SIGNIFICANCE } from './causeChoice';

/** One cause of a drift. */
export interface ExplainedCause {
  readonly cause: Cause;
  /** N, share of damping, units of the adjuster further out, or K warmer. */
  readonly size: number;
  /** Expanded uncertainty of the size, 95 %. */
  readonly U: number;
  /** Share of the drift's weighted sum of squares that is this cause's. */
  readonly share: number;
  /** Largest drift it makes at any point [N], its size. */
  readonly largest: number;
  /** Other causes that these points could just as well be explained by in its place: one each, or several together. */
  readonly alternatives: readonly (readonly Cause[])[];
}

export interface DriftExplanation {
  /** `nothing`: no drift beyond its uncertainty. `none of these`: over 30 % of it is left, and more than the uncertainty. */
  readonly state: 'explained' | 'none of these' | 'nothing';
  /** Largest share first. */
  readonly causes: readonly ExplainedCause[];
  /** Share of the weighted sum of squares that all causes together take off. */
  readonly explained: number;
  /** Whether what is left is within the stated uncertainty; false where none is stated. */
  readonly leftIsNoise: boolean;
  /** What the causes make at each point [N]. */
  readonly modelled: readonly number[];
}

/** A larger share of the drift's squares left over means that the causes tried are not it. */
export const MOST_LEFT = 0.3;
/** A cause under this share has no say in what else could stand in the place of a larger one. */
const WEIGHTY_SHARE = 0.05;
/** Two-sided 95 %. */
const PROBABILITY = 0.975;

/**
 * What explains a drift: weighted least squares over all points and settings on the causes tried; a cause stays by an F test at 5 % for all
 * candidates together. Nothing is judged by it.
 *
 * @param candidates causes to try; those that these points cannot tell from simpler ones are left out by the fit itself.
 */
export function explainDrift(model: DriftModel, candidates: readonly Cause[]): DriftExplanation {
  const chosen = chooseCauses(model, candidates);
  const total = fitCauses(model, [])!.residualSumOfSquares;
  const explained = total > 0 ? 1 - chosen.residualSumOfSquares / total : 0;
  const leftIsNoise = withinNoise(model, chosen.residualSumOfSquares, chosen.degreesOfFreedom);
  const state = stateOf(chosen.causes.length, explained, leftIsNoise);
  if (chosen.causes.length === 0)
    return { state, causes: [], explained, leftIsNoise, modelled: model.points.map(() => 0) };
  const effects = effectsOf(model, chosen.causes, chosen.sizes);
  return {
    state,
    causes: explainedCauses(model, candidates, chosen, effects, total),
    explained,
    leftIsNoise,
    modelled: effects.map((ofPoint, i) => modelledDrift(model.points[i]!, ofPoint)),
  };
}

/** @param effects of the causes, by point. @param total weighted sum of squares of the drift. */
function explainedCauses(
  model: DriftModel,
  candidates: readonly Cause[],
  chosen: CauseFit,
  effects: readonly (readonly Effect[])[],
  total: number,
): readonly ExplainedCause[] {
  const parts = effects.map((ofPoint, i) => driftParts(model.points[i]!, ofPoint));
  const shares = chosen.causes.map(
    (_, k) => parts.reduce((sum, one, i) => sum + model.weights[i]! * model.drifts[i]! * one[k]!, 0) / total,
  );
  const heavy = chosen.causes.filter((_, k) => shares[k]! >= WEIGHTY_SHARE);
  const weighty = heavy.length === chosen.causes.length ? chosen : fitCauses(model, heavy);
  const causes = chosen.causes.map((cause, k): ExplainedCause => ({
    cause,
    size: chosen.sizes[k]!,
    U: expandedSize(model, chosen, k),
    share: shares[k]!,
    largest: Math.max(...parts.map((one) => Math.abs(one[k]!))),
    alternatives: alternativesOf(model, shares[k]! >= WEIGHTY_SHARE ? (weighty ?? chosen) : chosen, cause, candidates),
  }));
  return causes.sort((a, b) => b.share - a.share);
}

function stateOf(causes: number, explained: number, leftIsNoise: boolean): DriftExplanation['state'] {
  if (causes === 0 && leftIsNoise) return 'nothing';
  return leftIsNoise || 1 - explained <= MOST_LEFT ? 'explained' : 'none of these';
}

/** Whether a sum of squares is what the stated uncertainties alone would leave in 95 %. */
function withinNoise(model: DriftModel, sum: number, degreesOfFreedom: number): boolean {
  if (!model.uKnown) return sum === 0;
  return sum <= chiSquareQuantile(1 - SIGNIFICANCE, degreesOfFreedom);
}

/** Student's t on the fit's own scatter; a temperature takes in the doubt of its coefficient. */
function expandedSize(model: DriftModel, fit: CauseFit, k: number): number {
  const { value, u } = model.temperature;
  const variance = noiseVariance(model, fit) * fit.unscaledCovariance[k]![k]!;
  const doubt = fit.causes[k]!.kind === 'temperature' ? (fit.sizes[k]! * u) / value : 0;
  return studentQuantile(PROBABILITY, fit.degreesOfFreedom) * Math.sqrt(variance) + 2 * Math.abs(doubt);
}

/** Causes that could stand in the place of one of the fit without these points telling the difference. */
function alternativesOf(
  model: DriftModel,
  fit: CauseFit,
  cause: Cause,
  candidates: readonly Cause[],
): readonly (readonly Cause[])[] {
  const rest = fit.causes.filter((one) => !sameCause(one, cause));
  const outside = candidates.filter((one) => !fit.causes.some((own) => sameCause(own, one)));
  const single = outside.filter((one) => fitsAsWell(model, fit, [...rest, one])).map((one) => [one]);
  if (cause.kind !== 'scale') return single;
  // All needles of a side together often do what its shims do.
  const { side } = cause;
  const needles = outside.filter((one) => one.kind === 'needle' && actsOn(model, one.adjuster, side));
  const alone = single.some(([one]) => one?.kind === 'needle');
  return needles.length < 2 || alone || !fitsAsWell(model, fit, [...rest, ...needles]) ? single : [...single, needles];
}

function fitsAsWell(model: DriftModel, fit: CauseFit, causes: readonly Cause[]): boolean {
  const other = fitCauses(model, causes);
  if (other === undefined || other.degreesOfFreedom < 1) return false;
  const loss = other.residualSumOfSquares - fit.residualSumOfSquares;
  return loss <= noiseVariance(model, fit) * fQuantile(1 - SIGNIFICANCE, 1, fit.degreesOfFreedom);
}

/** Whether an adjuster acts on a side of these points. */
export function actsOn(model: DriftModel, adjuster: number, side: 'compression' | 'rebound'): boolean {
  return model.points.some((point) => point.side === side && point.needles[adjuster] !== undefined);
}

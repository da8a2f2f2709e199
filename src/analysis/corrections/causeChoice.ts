import { fQuantile } from '../statistics/distributions';
import type { CauseFit } from './causeFit';
import { fitCauses } from './causeFit';
import { screenedCauses } from './causeScreen';
import type { Cause, DriftModel } from './driftModel';

/** Chance that a drift of scatter alone is given any cause. */
export const SIGNIFICANCE = 0.05;
/** More causes than this nobody can act on. */
const MOST_CAUSES = 5;
/** Sums of squares that differ by less than this share of a variance are one: then the cause that comes first among the candidates is named. */
const ALIKE = 1e-3;
/** Combinations of one size that are fitted in full. */
const MOST_FITTED = 10;

/**
 * The causes that a drift needs: of all combinations of one, two and more causes the one that leaves least, one cause more as long as an F
 * test passes it at 5 % for all combinations of that size together (Bonferroni). A cause that no longer passes alone at 5 % is dropped.
 *
 * @param candidates those that take least work to check first: of two that fit alike the earlier is taken.
 */
export function chooseCauses(model: DriftModel, candidates: readonly Cause[]): CauseFit {
  let fit = fitCauses(model, [])!;
  while (fit.causes.length < Math.min(MOST_CAUSES, candidates.length, model.points.length - 3)) {
    const next = bestOfSize(model, fit, candidates);
    if (next === undefined || isChance(model, fit, next.fit, next.tried)) break;
    fit = next.fit;
  }
  return plainScales(model, withoutIdle(model, fit));
}

/** Variance of an observation of unit weight: the scatter that is left, and never less than the stated uncertainties. */
export function noiseVariance(model: DriftModel, fit: CauseFit): number {
  const scatter = fit.residualSumOfSquares / Math.max(1, fit.degreesOfFreedom);
  return model.uKnown ? Math.max(1, scatter) : scatter;
}

/**
 * Whether one cause more may take off so much by chance: F test at 5 % on 1 and n - p degrees of freedom, held against the quantile, which is
 * the same for every result of as many points.
 *
 * @param tried combinations that the test is for together (Bonferroni).
 */
export function isChance(model: DriftModel, without: CauseFit, fit: CauseFit, tried: number): boolean {
  const gain = without.residualSumOfSquares - fit.residualSumOfSquares;
  const variance = noiseVariance(model, fit);
  if (!(gain > 0)) return true;
  return variance > 0 && gain <= variance * fQuantile(1 - SIGNIFICANCE / tried, 1, fit.degreesOfFreedom);
}

function bestOfSize(
  model: DriftModel,
  before: CauseFit,
  candidates: readonly Cause[],
): { readonly fit: CauseFit; readonly tried: number } | undefined {
  const size = before.causes.length + 1;
  const fits: CauseFit[] = [];
  let limit = Infinity;
  for (const { causes, least } of screenedCauses(model, candidates, before, size, MOST_FITTED)) {
    if (least > limit) continue;
    const fit = fitCauses(model, causes);
    if (fit === undefined) continue;
    fits.push(fit);
    limit = Math.min(limit, fit.residualSumOfSquares + ALIKE * noiseVariance(model, fit));
  }
  const place = (fit: CauseFit): number => fit.causes.reduce((sum, cause) => sum + candidates.indexOf(cause), 0);
  const alike = fits.filter(({ residualSumOfSquares }) => residualSumOfSquares <= limit);
  if (alike.length === 0) return undefined;
  const fit = alike.reduce((first, other) => (place(other) < place(first) ? other : first));
  return { fit, tried: binomial(candidates.length, size) };
}

function binomial(count: number, size: number): number {
  let product = 1;
  for (let i = 1; i <= size; i++) product *= (count - size + i) / i;
  return product;
}

function withoutIdle(model: DriftModel, start: CauseFit): CauseFit {
  let fit = start;
  for (;;) {
    const dropped = fit.causes.flatMap(
      (_, k) =>
        fitCauses(
          model,
          fit.causes.filter((__, j) => j !== k),
        ) ?? [],
    );
    const idle = smallest(dropped);
    if (idle === undefined || !isChance(model, idle, fit, 1)) return fit;
    fit = idle;
  }
}

/** Temperature and the scale of one side are the scales of both sides in other words; the plain ones say more. */
function plainScales(model: DriftModel, fit: CauseFit): CauseFit {
  const scales = fit.causes.filter((cause) => cause.kind === 'scale');
  if (scales.length !== 1 || !fit.causes.some((cause) => cause.kind === 'temperature')) return fit;
  const side = scales[0]!.side === 'compression' ? 'rebound' : 'compression';
  const causes = fit.causes.map((cause): Cause => (cause.kind === 'temperature' ? { kind: 'scale', side } : cause));
  return fitCauses(model, causes) ?? fit;
}

function smallest(fits: readonly CauseFit[]): CauseFit | undefined {
  return fits.reduce<CauseFit | undefined>(
    (best, fit) => (best === undefined || fit.residualSumOfSquares < best.residualSumOfSquares ? fit : best),
    undefined,
  );
}

import chiSquare from '@stdlib/stats-base-dists-chisquare-quantile';
import fInverse from '@stdlib/stats-base-dists-f-quantile';
import normal from '@stdlib/stats-base-dists-normal-quantile';
import student from '@stdlib/stats-base-dists-t-cdf';
import studentInverse from '@stdlib/stats-base-dists-t-quantile';
import { studentFactor } from './studentFactor';

/** Standard normal quantile. @param probability 0 to 1 */
export function normalQuantile(probability: number): number {
  return normal(probability, 0, 1);
}

/** Above this the library's inverse ends at 0 (from 3e16 on), and no digit parts the quantile from the normal one. */
const MOST_STUDENT_FREEDOM = 1e15;

/** Student's t quantile; the normal one where the degrees of freedom are infinite. */
export function studentQuantile(probability: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom > MOST_STUDENT_FREEDOM) return normalQuantile(probability);
  if (probability === 0.975 && degreesOfFreedom >= 1) return studentFactor(degreesOfFreedom);
  return studentInverse(probability, degreesOfFreedom);
}

/** Student's t: probability of a value up to `t`. */
export function studentCdf(t: number, degreesOfFreedom: number): number {
  return student(t, degreesOfFreedom);
}

/** Probability of a value at least this far from zero on either side, finite degrees of freedom. Keeps its digits for large t. */
export function studentTwoSidedP(t: number, degreesOfFreedom: number): number {
  return 2 * student(-Math.abs(t), degreesOfFreedom);
}

/** Quantile of the F distribution. */
export function fQuantile(probability: number, numerator: number, denominator: number): number {
  return kept(`F ${probability} ${numerator} ${denominator}`, () => fInverse(probability, numerator, denominator));
}

/** Of the same few counts of points, whose quantiles are asked for again and again; an inverse takes some hundred steps. */
const quantiles = new Map<string, number>();
const MOST_QUANTILES = 1000;

function kept(key: string, quantile: () => number): number {
  let value = quantiles.get(key);
  if (value === undefined) {
    if (quantiles.size >= MOST_QUANTILES) quantiles.clear();
    quantiles.set(key, (value = quantile()));
  }
  return value;
}

/** Above this the library's inverse leaves the true one (by 0.1 % at 5,000). */
const MOST_CHI_SQUARE_FREEDOM = 1000;

/** Chi-square quantile; above 1,000 degrees of freedom by Wilson and Hilferty's cube root (PNAS 17 (1931) 684), right to 2e-6 there between 0.1 and 99.9 %. */
export function chiSquareQuantile(probability: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom <= MOST_CHI_SQUARE_FREEDOM)
    return kept(`chi-square ${probability} ${degreesOfFreedom}`, () => chiSquare(probability, degreesOfFreedom));
  const c = 2 / (9 * degreesOfFreedom);
  return degreesOfFreedom * (1 - c + normalQuantile(probability) * Math.sqrt(c)) ** 3;
}

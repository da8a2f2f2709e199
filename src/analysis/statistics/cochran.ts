import { fQuantile } from './distributions';

/**
 * Cochran's test for a variance that stands out high, for groups of unequal size.
 *
 * With equal degrees of freedom it is the test of ISO 5725-2:1994, 7.3.3 (C = largest variance over the sum of all); for unequal ones
 * each group's share of the pooled sum of squares is held against its own limit ('t Lam, Analytica Chimica Acta 659 (2010) 68; citation
 * from memory), which for equal ones is the same number.
 *
 * @param variances one a group. @param degreesOfFreedom one a group; groups with 0 take no part.
 * @param significance two developers must agree: 0.01 in this project.
 * @returns for each group whether its variance is too large to belong to the others.
 */
export function cochranOutliers(
  variances: ArrayLike<number>,
  degreesOfFreedom: ArrayLike<number>,
  significance: number,
): boolean[] {
  const n = variances.length;
  let squares = 0;
  let freedom = 0;
  let groups = 0;
  for (let i = 0; i < n; i++) {
    if (!(degreesOfFreedom[i]! > 0)) continue;
    squares += degreesOfFreedom[i]! * variances[i]!;
    freedom += degreesOfFreedom[i]!;
    groups++;
  }
  const limits = new Map<number, number>();
  const limitOf = (own: number): number => {
    let limit = limits.get(own);
    if (limit === undefined) limits.set(own, (limit = cochranLimit(own, freedom - own, significance / groups)));
    return limit;
  };
  return Array.from({ length: n }, (_, i) => {
    const own = degreesOfFreedom[i]!;
    if (!(own > 0) || groups < 2 || !(squares > 0)) return false;
    return (own * variances[i]!) / squares > limitOf(own);
  });
}

/** Largest share of the pooled sum of squares that a group with `own` degrees of freedom has by chance, against `others` in all the rest. */
export function cochranLimit(own: number, others: number, tail: number): number {
  return 1 / (1 + others / own / fQuantile(1 - tail, own, others));
}

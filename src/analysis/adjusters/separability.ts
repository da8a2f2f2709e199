import { Matrix, SingularValueDecomposition } from 'ml-matrix';

export interface Separability {
  /** Largest over smallest singular value of the click matrix with its columns scaled to unit length; Infinity where a column is a copy of others. */
  readonly condition: number;
  /** Indices of the columns that the points cannot tell apart; empty where they can. */
  readonly together: readonly number[];
}

/** Above this the columns of a scaled matrix count as dependent (Belsley, Kuh and Welsch, Regression Diagnostics, 1980, chapter 3). */
export const MOST_CONDITION = 30;
/** A column belongs to a dependence where more than this share of its coefficient's variance comes from the weak directions (same source). */
const VARIANCE_SHARE = 0.5;

/**
 * Whether points can tell several adjusters apart: condition number of the matrix of effects, one column an adjuster, one row a point
 * (side and speed), and by variance decomposition which columns are dependent. Columns are scaled to unit length first, so that a weak
 * adjuster is not taken for an inseparable one.
 *
 * @param effects one list an adjuster, of dD/dunit at every point; all of one length.
 * @returns undefined with fewer than two adjusters, fewer points than adjusters, or an adjuster without any effect.
 */
export function separabilityOf(effects: readonly (readonly number[])[]): Separability | undefined {
  const points = effects[0]?.length ?? 0;
  if (effects.length < 2 || points < effects.length) return undefined;
  const lengths = effects.map((column) => Math.hypot(...column));
  if (lengths.some((length) => !(length > 0))) return undefined;
  const matrix = new Matrix(
    Array.from({ length: points }, (_, row) => effects.map((column, j) => column[row]! / lengths[j]!)),
  );
  const { diagonal, rightSingularVectors } = new SingularValueDecomposition(matrix);
  const largest = Math.max(...diagonal);
  const least = largest * Number.EPSILON;
  const singular = diagonal.map((value) => Math.max(value, least));
  const condition = largest / Math.min(...diagonal.map((value) => (value <= least ? 0 : value)));
  const isWeak = (k: number): boolean => largest / singular[k]! > MOST_CONDITION;
  const together = effects.flatMap((_, j) => {
    const shares = singular.map((value, k) => (rightSingularVectors.get(j, k) / value) ** 2);
    const all = shares.reduce((sum, share) => sum + share, 0);
    const weak = shares.reduce((sum, share, k) => (isWeak(k) ? sum + share : sum), 0);
    return weak > VARIANCE_SHARE * all ? [j] : [];
  });
  return { condition, together };
}

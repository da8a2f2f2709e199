import { Matrix, SingularValueDecomposition } from 'ml-matrix';

/** Patterns over speed that a sweep is made of; a third one is scatter. */
const PATTERNS = 2;
/** A smaller table has no scatter to spare. */
const LEAST_SIZE = 5;

/**
 * Takes the scatter out of a sweep: ln |D| over positions and speeds as its mean over positions and the two patterns over speed that hold most
 * of it (truncated singular value decomposition, Eckart and Young, Psychometrika 1 (1936) 211). One pattern is the adjuster's own; the second
 * takes up friction and what is not of one shape.
 *
 * @param damping [position][speed] [N]. @returns the same, smoothed; as given where the table is small or a force changes its sign.
 */
export function smoothSweep(damping: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const speeds = damping[0]?.length ?? 0;
  if (damping.length < LEAST_SIZE || speeds < LEAST_SIZE) return damping;
  const sign = Math.sign(damping[0]![0]!);
  if (sign === 0 || damping.some((row) => row.length !== speeds || row.some((force) => Math.sign(force) !== sign)))
    return damping;
  const logs = new Matrix(damping.map((row) => row.map((force) => Math.log(sign * force))));
  const means = logs.mean('column');
  const { leftSingularVectors, rightSingularVectors, diagonal } = new SingularValueDecomposition(
    logs.clone().subRowVector(means),
    { autoTranspose: true },
  );
  return damping.map((row, i) =>
    row.map((_, k) => {
      let log = means[k]!;
      for (let r = 0; r < PATTERNS; r++)
        log += leftSingularVectors.get(i, r) * diagonal[r]! * rightSingularVectors.get(k, r);
      return sign * Math.exp(log);
    }),
  );
}

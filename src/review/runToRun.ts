import { runCovariance, type RunCovariance, type SideMeans } from '../analysis/significance/changeTest';
import type { RunToRunSpread } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import { SIDE_SIGN } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import { dampingOfRows } from './dampingOfRows';
import { isClearOfZero, pairRows } from './pairedRows';

/** What complete runs that were repeated without a rebuild say of the dampers of one spec. */
export interface RunToRun {
  readonly covariance: RunCovariance;
  /** Standard deviation of one run, as a share of damping force, a side. */
  readonly spread: RunToRunSpread;
  /** How many dampers were run more than once, and how many runs of theirs are counted. */
  readonly units: number;
  readonly runs: number;
  /** `check standard`: the spec has no repeats of its own, and the bench's check damper stands in for it. */
  readonly from: 'spec' | 'check standard';
}

/**
 * Pools repeats over units: each group holds the runs of one damper that was remounted between them and not rebuilt.
 * @returns undefined with fewer than two degrees of freedom (runs less units): no test on two sides exists, and a spread of one
 *   difference would widen every uncertainty twelvefold
 */
export function runToRunOf(groups: readonly (readonly ForceTable[])[], from: RunToRun['from']): RunToRun | undefined {
  const means = groups.map(sideMeansOfRuns).filter((runs) => runs.length > 1);
  const covariance = runCovariance(means);
  if (covariance === undefined) return undefined;
  const { matrix, degreesOfFreedom: df } = covariance;
  const spread: RunToRunSpread = {
    compression: { relative: Math.sqrt(matrix[0][0]), df },
    rebound: { relative: Math.sqrt(matrix[1][1]), df },
  };
  const runs = means.reduce((sum, ofUnit) => sum + ofUnit.length, 0);
  return { covariance, spread, units: means.length, runs, from };
}

/**
 * Mean relative difference of each side of every run from the mean of all runs, over the settings, passes and planned speeds that they
 * share, positive where harder: the same two numbers that a comparison of builds looks at. Empty where they share no point on one of the sides.
 */
export function sideMeansOfRuns(runs: readonly ForceTable[]): readonly SideMeans[] {
  const [first] = runs;
  if (first === undefined || runs.length < 2) return [];
  const common = commonRows(first, runs);
  const compression = relativeOfRuns(common, runs, 'compression');
  const rebound = relativeOfRuns(common, runs, 'rebound');
  return compression === undefined || rebound === undefined
    ? []
    : runs.map((_, i) => [compression[i]!, rebound[i]!] as const);
}

/** One number a run; undefined without a common point. */
function relativeOfRuns(
  common: readonly CommonRows[],
  runs: readonly ForceTable[],
  side: Side,
): readonly number[] | undefined {
  const sums = runs.map(() => 0);
  const damping = runs.map(dampingOfRows);
  let points = 0;
  for (const indices of common) {
    const first = runs[0]!.rows[indices[0]!]!;
    const forces = indices.map((index, i) => damping[i]!.at(index, side, first.velocity));
    const mean = forces.reduce((sum, force) => sum + force, 0) / forces.length;
    if (Number.isNaN(mean) || !isClearOfZero(mean, first.measured?.[`${side}U`] ?? NaN)) continue;
    forces.forEach((force, i) => (sums[i]! += (SIDE_SIGN[side] * (force - mean)) / Math.abs(mean)));
    points += 1;
  }
  return points === 0 ? undefined : sums.map((sum) => sum / points);
}

/** Index of one row a run, of one setting, pass and speed, in the order of the runs. */
type CommonRows = readonly number[];

function commonRows(first: ForceTable, runs: readonly ForceTable[]): readonly CommonRows[] {
  const partners = runs.map((run) => {
    const { a, b } = pairRows(first, run);
    const partner: (number | undefined)[] = first.rows.map(() => undefined);
    a.forEach((index, k) => (partner[index] = b[k]));
    return partner;
  });
  return first.rows.flatMap((_, i) => {
    const indices = partners.flatMap((partner) => partner[i] ?? []);
    return indices.length === runs.length ? [indices] : [];
  });
}

/** What the scatter of complete runs adds to the uncertainty of one damping force: its standard uncertainty [N], 0 where nothing is known. */
export function runToRunU(spread: RunToRunSpread[Side], damping: number | undefined): number {
  if (spread === undefined || damping === undefined || !(spread.relative > 0)) return 0;
  return spread.relative * Math.abs(damping);
}

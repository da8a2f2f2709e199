import { testChange } from '../analysis/significance/changeTest';
import { SIDE_SIGN } from '../analysis/side';
import { benchRelation } from './benchRelation';
import type { BuildChange, ComparedRun, Comparison } from './comparison';
import type { RunToRun } from './runToRun';

/**
 * Holds the mean relative difference of both sides against the scatter of complete runs (Hotelling's T2).
 * @returns undefined without repeats, between two specs, between repeats of one build (their difference is that scatter itself), and
 *   where one of the sides has no point in common
 */
export function buildChange(
  a: ComparedRun,
  b: ComparedRun,
  mean: Comparison['mean'],
  runToRun: RunToRun | undefined,
): BuildChange | undefined {
  if (runToRun === undefined || a.specId !== b.specId || areOfOneBuild(a, b)) return undefined;
  if (mean.compression === undefined || mean.rebound === undefined) return undefined;
  const harder = [SIDE_SIGN.compression * mean.compression, SIDE_SIGN.rebound * mean.rebound] as const;
  const test = testChange(harder, runToRun.covariance);
  if (test === undefined) return undefined;
  const { units, runs, from, covariance } = runToRun;
  const { tSquared, f, pValue, significant, power } = test;
  return {
    tSquared,
    f,
    pValue,
    significant,
    power,
    repeats: { units, runs, from, degreesOfFreedom: covariance.degreesOfFreedom },
    bench: benchRelation(a, b),
  };
}

export function areOfOneBuild(a: ComparedRun, b: ComparedRun): boolean {
  return a.serial !== '' && a.serial === b.serial && a.build !== '' && a.build === b.build;
}

/** Whether the change may be put down to the damper: beyond the scatter of repeats, and on one bench in one state. */
export function isOfTheDamper({ significant, bench }: BuildChange): boolean {
  return significant && (bench === 'same' || bench === 'not stated');
}

import type { RunStep } from '../loops/runSteps';
import type { TrendMeasure } from '../runAnalysis';
import { SIDES } from '../side';
import { mean } from '../statistics/quantile';

/** Trends less sure than this are not listed; the rule's own limit is tighter. */
const MOST_P = 0.1;
/**
 * A trend matters where the force at the step's first or last cycle leaves the mean by more than the force at peak speed is known to: the
 * larger of this share of the load cell's force and this force [N]. The least trends are found sooner or later in any long step, and
 * one step in a hundred shows one by chance alone.
 */
const MATTERS_SHARE = 0.005;
const MATTERS_FORCE = 3;

/** Steps whose force trends with the cycle number, by enough to matter and beyond chance. */
export function notSettled(steps: readonly RunStep[]): TrendMeasure[] {
  return steps.flatMap((run) =>
    SIDES.flatMap((side) => {
      const { trendP: pValue, force } = run.step[side];
      const { cycles } = run.step;
      const change = trendChange(cycles[`${side}Force`].subarray(cycles.firstUsed));
      const matters = Math.abs(change) / 2 > Math.max(MATTERS_SHARE * Math.abs(force), MATTERS_FORCE);
      return pValue < MOST_P && matters ? [{ step: run.key, side, pValue, change }] : [];
    }),
  );
}

/** Change from the first to the last value along their least-squares line; NaN under two values. */
export function trendChange(values: ArrayLike<number>): number {
  const n = values.length;
  const centre = (n - 1) / 2;
  const level = mean(values);
  let xx = 0;
  let xy = 0;
  for (let i = 0; i < n; i++) {
    xx += (i - centre) ** 2;
    xy += (i - centre) * (values[i]! - level);
  }
  return (xy / xx) * (n - 1);
}

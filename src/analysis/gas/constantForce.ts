import type { RunStep } from '../loops/runSteps';
import { scatterOfRun } from '../points/runScatter';
import { normalQuantile } from '../statistics/distributions';
import { mean } from '../statistics/quantile';

/** What must stand beside every constant force that no fit took apart. */
export const CONSTANT_FORCE_CAUTION =
  'the constant force is gas, bench zero, unequal valving, or any of them; this log cannot tell';

/** Half the sum of both sides' forces at peak speed in one cycle [N]. */
interface HalfSum {
  readonly force: number;
  readonly run: RunStep;
}

/**
 * Median over the used cycles of all steps of (F_c + F_r) / 2 at peak speed [N], and the standard uncertainty that scatter between the
 * cycles gives it. Steps differ in their half sums where valves are unlike, so the scatter that counts is that of the one or two steps
 * that hold the median. NaN without a cycle.
 */
export function constantForce(steps: readonly RunStep[]): { readonly force: number; readonly u: number } {
  const halves = steps.flatMap(halfSums).sort((a, b) => a.force - b.force);
  const last = halves.length - 1;
  if (last < 0) return { force: NaN, u: NaN };
  const middle = [...new Set([Math.floor(last / 2), Math.ceil(last / 2)])].map((rank) => halves[rank]!);
  const scatter = scatterOfRun(steps);
  const variances = middle.map((half) => {
    const h = Math.hypot(scatter(half.run, 'compression').u, scatter(half.run, 'rebound').u) / 2;
    return h * h * orderVariance(half, halves);
  });
  // Neighbours in rank within one step move together; those of two steps do not.
  const together = new Set(middle.map(({ run }) => run)).size === 1;
  const variance = together ? Math.max(...variances) : mean(variances) / 2;
  return { force: mean(middle.map(({ force }) => force)), u: Math.sqrt(variance) };
}

function halfSums(run: RunStep): HalfSum[] {
  const { firstUsed, compressionForce, reboundForce } = run.step.cycles;
  return Array.from(compressionForce.subarray(firstUsed), (force, i) => ({
    force: (force + reboundForce[firstUsed + i]!) / 2,
    run,
  }));
}

/**
 * Variance of one of a step's n half sums by its rank, over that of their mean: p (1 - p) / phi(z_p)^2 with p = (rank - 1/2) / n, the
 * large-sample variance of a quantile (Kendall and Stuart, The Advanced Theory of Statistics: from memory).
 */
function orderVariance(half: HalfSum, all: readonly HalfSum[]): number {
  const own = all.filter(({ run }) => run === half.run);
  const p = (own.indexOf(half) + 0.5) / own.length;
  const z = normalQuantile(p);
  return (2 * Math.PI * p * (1 - p)) / Math.exp(-z * z);
}

import type { RunStep } from '../loops/runSteps';
import { median } from '../statistics/quantile';

/** What must stand beside every constant force that no fit took apart. */
export const CONSTANT_FORCE_CAUTION =
  'the constant force is gas, bench zero, unequal valving, or any of them; this log cannot tell';

/**
 * Median over the used cycles of all steps of (F_c + F_r) / 2 at peak speed [N], and the standard uncertainty that scatter between
 * the cycles of a step gives it. NaN without a cycle.
 */
export function constantForce(steps: readonly RunStep[]): { readonly force: number; readonly u: number } {
  const halves: number[] = [];
  let scatter = 0;
  for (const { step } of steps) {
    const { firstUsed, compressionForce, reboundForce } = step.cycles;
    for (let i = firstUsed; i < compressionForce.length; i++)
      halves.push((compressionForce[i]! + reboundForce[i]!) / 2);
    scatter += step.cyclesUsed * (step.compression.cycleSpread ** 2 + step.rebound.cycleSpread ** 2);
  }
  // The median of n normal values scatters by sqrt(pi / 2) more than their mean.
  const u = Math.sqrt((Math.PI / 2) * (scatter / 4)) / Math.max(1, halves.length);
  return { force: median(halves), u };
}

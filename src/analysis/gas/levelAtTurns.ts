import type { RunStep } from '../loops/runSteps';
import type { PhaseBins } from '../reducedLog';

/**
 * Force without damping at mid-stroke [N], roughly: mean of the forces just before both turning points of the slowest sine step, where
 * speed, and with it valve force, is all but gone; friction cancels. Forces after a turning point are not used, as a void would be in
 * them. Valves of unlike strength still pull it by a few newtons: good enough to tell "no damping" from damping, not as a gas force.
 *
 * @returns undefined where no step is a sine, or has samples there.
 */
export function levelAtTurns(steps: readonly RunStep[]): number | undefined {
  const smooth = steps.filter((s) => s.step.drive !== 'triangle').sort((a, b) => a.speed - b.speed);
  for (const { step } of smooth) {
    const inward = lastForce(step.compression.phase);
    const outward = lastForce(step.rebound.phase);
    if (inward !== undefined && outward !== undefined) return (inward + outward) / 2;
  }
  return undefined;
}

/** Of the last two parts of the stroke's time, the last that holds a sample. */
function lastForce({ count, force }: PhaseBins): number | undefined {
  for (let b = count.length - 1; b >= count.length - 2; b--) if (count[b]! > 0) return force[b]!;
  return undefined;
}

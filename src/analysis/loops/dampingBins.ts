import type { RunGas } from '../gas/gasOfRun';
import type { BenchUncertainty } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN } from '../side';
import { massStiffness } from './inertia';
import type { RunStep } from './runSteps';

/** Damping force of one side of a step as a magnitude, friction in it, positive against the motion; a function of what a bin holds. */
export type DampingOf = (displacement: number, force: number) => number;

/**
 * Takes gas (or what stands for it where that is not known) and the moving mass off a force.
 * The result takes displacement from mid-stroke [m] and the load cell's force [N].
 */
export function dampingOf(run: RunStep, side: Side, gas: RunGas, bench: BenchUncertainty | undefined): DampingOf {
  const sign = SIDE_SIGN[side];
  const model = gas.zeroLineAt(run);
  const mass = massStiffness(run.step, bench);
  return (displacement, force) => sign * (force + mass * displacement - model.at(displacement));
}

/** Damping magnitude in each phase bin; NaN where a bin is empty. */
export function dampingByPhase(
  run: RunStep,
  side: Side,
  gas: RunGas,
  bench: BenchUncertainty | undefined,
): Float64Array {
  const { displacement, force } = run.step[side].phase;
  const damping = dampingOf(run, side, gas, bench);
  return force.map((f, b) => damping(displacement[b]!, f));
}

import type { ReducedStep } from '../reducedLog';
import type { BenchUncertainty } from '../runAnalysis';

/** Above this acceleration an unknown mass between load cell and damper may bend a loop [m/s^2]: its findings are then notes. */
export const NOTE_ACCELERATION = 30;

/**
 * The moving mass of the bench as an apparent spring, m omega^2 [N/m]. The load cell reads damper force + m a, and on a sine
 * a = -omega^2 x: so `force + massStiffness x displacement from mid-stroke` is the damper's own. 0 on a constant-speed drive, whose
 * acceleration is over within a few samples of the corner, and where the mass is not known.
 */
export function massStiffness(step: ReducedStep, bench: BenchUncertainty | undefined): number {
  if (bench?.movingMass === undefined || step.drive !== 'sine') return 0;
  return bench.movingMass * (2 * Math.PI * step.frequency) ** 2;
}

/** Whether a loop finding at this step is a note only, as the inertia in its force is not known. */
export function inertiaUnknown(step: ReducedStep, bench: BenchUncertainty | undefined): boolean {
  if (bench?.movingMass !== undefined) return false;
  return Math.max(step.compression.peakAcceleration, step.rebound.peakAcceleration) > NOTE_ACCELERATION;
}

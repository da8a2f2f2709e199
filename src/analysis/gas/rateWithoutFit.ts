import type { RunStep } from '../loops/runSteps';
import type { PhaseBins } from '../reducedLog';
import type { DamperHardware } from '../runAnalysis';
import { leastSquares } from '../statistics/leastSquares';
import { median } from '../statistics/quantile';
import { CHARGE_TEMPERATURE, expectedGasForce, EXPONENT_MOVING } from './expectedGasForce';

/** Middle part of a constant-speed stroke in which force follows gas alone, clear of what lag leaves after the corner. */
const PLATEAU_FROM = 0.2;
const PLATEAU_TO = 0.875;

/**
 * Slope of gas force over displacement [N/m] where no slow samples give it: on a constant-speed drive force along the plateau has the
 * slope of gas; else the spec's hardware foretells one. The level of gas stays unknown either way.
 *
 * @returns undefined where neither is at hand.
 */
export function rateWithoutFit(
  steps: readonly RunStep[],
  hardware: DamperHardware | undefined,
  midPosition: number | undefined,
): number | undefined {
  const plateaus = steps.filter((s) => s.step.drive === 'triangle');
  if (plateaus.length > 0) {
    const slopes = plateaus
      .flatMap(({ step }) => [plateauSlope(step.compression.phase), plateauSlope(step.rebound.phase)])
      .filter((slope) => slope !== undefined);
    if (slopes.length > 0) return median(slopes);
  }
  if (hardware === undefined) return undefined;
  const middle = midPosition ?? (hardware.stroke ?? 0) / 2;
  const step = 1e-4;
  const above = expectedGasForce(hardware, middle + step, CHARGE_TEMPERATURE, EXPONENT_MOVING);
  const below = expectedGasForce(hardware, middle - step, CHARGE_TEMPERATURE, EXPONENT_MOVING);
  const known = hardware.gasVolume !== undefined || hardware.gas === 'none' || hardware.rod === 'through';
  return above === undefined || below === undefined || !known ? undefined : (above - below) / (2 * step);
}

function plateauSlope(bins: PhaseBins): number | undefined {
  const from = Math.round(PLATEAU_FROM * bins.count.length);
  const to = Math.round(PLATEAU_TO * bins.count.length);
  const design: number[][] = [];
  const force: number[] = [];
  for (let b = from; b < to; b++) {
    if (!(bins.count[b]! > 0)) continue;
    design.push([1, bins.displacement[b]!]);
    force.push(bins.force[b]!);
  }
  return design.length < 8 ? undefined : leastSquares(design, force)?.coefficients[1];
}

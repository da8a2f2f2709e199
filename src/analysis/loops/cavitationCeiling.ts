import { absoluteGasPressure, EXPONENT_MOVING } from '../gas/expectedGasForce';
import type { DamperHardware } from '../runAnalysis';

/**
 * Compression damping [N] beyond which the rod side of the piston runs empty in a damper without a base or reservoir valve: absolute
 * gas pressure x (piston area - rod area), as the pressure behind the piston cannot fall below zero.
 *
 * @param insertion rod travel from full extension [m]. @param temperature [K].
 * @returns undefined where the spec states a base valve, or lacks piston, rod or charge.
 */
export function cavitationCeiling(
  hardware: DamperHardware,
  insertion: number,
  temperature: number,
): number | undefined {
  const { pistonArea, rodArea, baseValve } = hardware;
  if (baseValve === true || pistonArea === undefined || rodArea === undefined || hardware.gas === 'none')
    return undefined;
  const pressure = absoluteGasPressure(hardware, insertion, temperature, EXPONENT_MOVING);
  return pressure === undefined ? undefined : pressure * (pistonArea - rodArea);
}

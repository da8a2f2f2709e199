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
  if (!mayCavitate(hardware)) return undefined;
  const pressure = absoluteGasPressure(hardware, insertion, temperature, EXPONENT_MOVING);
  return pressure === undefined ? undefined : pressure * (hardware.pistonArea - hardware.rodArea);
}

/** Whether the spec's hardware has such a ceiling at all: no base valve stated, piston, rod and a gas charge known. */
export function mayCavitate(
  hardware: DamperHardware,
): hardware is DamperHardware & Required<Pick<DamperHardware, 'pistonArea' | 'rodArea'>> {
  const { pistonArea, rodArea, baseValve, gas } = hardware;
  return baseValve !== true && pistonArea !== undefined && rodArea !== undefined && gas !== 'none';
}

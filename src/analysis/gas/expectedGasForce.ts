import type { DamperHardware } from '../runAnalysis';

/** Standard atmosphere [Pa] (ISO 2533). */
export const ATMOSPHERE = 101_325;
/** 20 C [K], at which the spec states the charge. */
export const CHARGE_TEMPERATURE = 293.15;
/** Polytropic exponents of nitrogen: held still, and moving (accumulator engineering practice: 1.0 isothermal, 1.3 rapid cycling). */
export const EXPONENT_STATIC = 1.0;
export const EXPONENT_MOVING = 1.3;

/**
 * Absolute gas pressure [Pa] with the rod moved in by `insertion` from full extension:
 * (p_g + p_atm) (V0 / (V0 - A_rod x))^n (T / 293.15 K); the charge p_g is gauge at full extension and 20 C.
 * Without a gas volume the squeeze is unknown and left at 1: the value is then right at full extension only.
 *
 * @param insertion rod travel from full extension [m]. @param temperature [K]. @param exponent polytropic exponent.
 * @returns undefined where the charge is not stated, or the rod would need more room than the gas has.
 */
export function absoluteGasPressure(
  hardware: DamperHardware,
  insertion: number,
  temperature: number,
  exponent: number,
): number | undefined {
  if (hardware.gasPressure === undefined) return undefined;
  const warm = (hardware.gasPressure + ATMOSPHERE) * (temperature / CHARGE_TEMPERATURE);
  if (hardware.gasVolume === undefined || hardware.rodArea === undefined) return warm;
  const left = hardware.gasVolume - hardware.rodArea * insertion;
  if (!(left > 0)) return undefined;
  return warm * (hardware.gasVolume / left) ** exponent;
}

/**
 * Gas force on the rod [N] that the spec's hardware leads one to expect: (p_abs(x, T) - p_atm) A_rod. 0 for a through rod or a damper
 * without gas. Use EXPONENT_STATIC held still and EXPONENT_MOVING in a running test, at mid-stroke and the measured temperature.
 *
 * @param insertion rod travel from full extension [m]; without `hardware.gasVolume` only 0 gives the right force.
 * @returns undefined where rod or charge are not stated.
 */
export function expectedGasForce(
  hardware: DamperHardware,
  insertion: number,
  temperature: number,
  exponent: number,
): number | undefined {
  if (hardware.rod === 'through' || hardware.gas === 'none') return 0;
  if (hardware.rodArea === undefined) return undefined;
  const pressure = absoluteGasPressure(hardware, insertion, temperature, exponent);
  return pressure === undefined ? undefined : (pressure - ATMOSPHERE) * hardware.rodArea;
}

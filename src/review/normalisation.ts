import type { TemperatureCoefficient } from '../analysis/temperature/temperatureCoefficient';
import type { ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { settingKey, settingsOfTable } from './referenceCurves';

/** What damping is corrected for temperature by, or why it is not; only where the spec asks for it. */
export type Normalisation =
  | { readonly kind: 'known'; readonly coefficient: TemperatureCoefficient; readonly from: readonly string[] }
  | { readonly kind: 'unknown'; readonly reason: string };

/** A damping force at the temperature that the reference was measured at. */
export interface NormalisedForce {
  /** [N] */
  readonly damping: number;
  /** Temperature of the reference [K]. */
  readonly temperature: number;
  /** Standard uncertainty that the correction adds [N]. */
  readonly u: number;
}

/**
 * D at the reference's temperature: D exp(b (T - T_ref)), b the share lost a kelvin.
 * @returns undefined where one of the temperatures is not known
 */
export function normalisedForce(
  normalisation: Normalisation | undefined,
  damping: number,
  temperature: number | undefined,
  referenceTemperature: number | undefined,
): NormalisedForce | undefined {
  if (normalisation?.kind !== 'known' || temperature === undefined || referenceTemperature === undefined)
    return undefined;
  const { perKelvin, u } = normalisation.coefficient;
  const warmer = temperature - referenceTemperature;
  const corrected = damping * Math.exp(perKelvin * warmer);
  return { damping: corrected, temperature: referenceTemperature, u: Math.abs(corrected * warmer) * u };
}

/** Temperature of the reference's row nearest in speed at a setting, else the one that its gas stands at [K]. */
export function referenceTemperatureAt(reference: ForceTable, setting: Setting, speed: number): number | undefined {
  const key = settingKey(setting);
  let best: { readonly distance: number; readonly temperature: number } | undefined;
  for (const row of settingsOfTable(reference).all.find((group) => group.key === key)?.rows ?? []) {
    if (row.temperature === undefined) continue;
    const distance = Math.abs(row.velocity - speed);
    if (best === undefined || distance < best.distance) best = { distance, temperature: row.temperature };
  }
  return best?.temperature ?? reference.gas?.temperature;
}

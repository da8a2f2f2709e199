import { CHARGE_TEMPERATURE } from '../analysis/gas/expectedGasForce';
import { cavitationCeiling } from '../analysis/loops/cavitationCeiling';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Spec } from '../files/spec';
import { damperHardware } from './damperHardware';

/** The most compression damping [N] that gas pressure holds at a row's temperature; undefined where the spec does not give it. */
export function ceilingOfRow(spec: Spec, table: ForceTable, row: ForceRow): number | undefined {
  const hardware = damperHardware(spec);
  const insertion = hardware.gasVolume === undefined ? 0 : (table.basis.midPosition ?? 0);
  return cavitationCeiling(hardware, insertion, row.temperature ?? CHARGE_TEMPERATURE);
}

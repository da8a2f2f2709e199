import type { Finding } from '../finding';
import { isGasForce } from '../gasOfResult';
import { atHeader } from '../pointOfRow';
import { evidenceNumber, forceText, temperatureText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/**
 * Gas force against the charge of the spec, beyond `tolerance.gasForce` and the uncertainty of both test and fit. Judged only where the load
 * cell was zeroed unloaded and gas was told from friction, as otherwise a constant force may be bench zero as well.
 */
export function gasForce(context: RuleContext): readonly Finding[] {
  const { input, unit, overrides } = context;
  const tolerance = input.spec?.tolerance.gasForce;
  if (tolerance === undefined || context.gas?.expected === undefined) return [];
  const { measured: gas, expected } = context.gas;
  if (!isGasForce(input, gas)) return [];
  const low = gas.force + gas.U < expected.least - tolerance;
  const high = gas.force - gas.U > expected.most + tolerance;
  if (!low && !high) return [];
  const limit = low ? expected.least : expected.most;
  const difference = Math.abs(gas.force - limit);
  const open = low && expected.most === Infinity ? 'at least ' : '';
  const warm = gas.temperature === undefined ? '' : ` at ${temperatureText(gas.temperature)}`;
  return raise(overrides, low ? 'gas-force-low' : 'gas-force-high', {
    at: atHeader(input),
    message: `${unit}: gas force is ${forceText(gas.force)}${warm}, the charge of the spec gives ${open}${forceText(limit)}: ${forceText(difference)} too ${low ? 'low' : 'high'}, ${forceText(tolerance)} allowed.`,
    evidence: {
      gas_N: evidenceNumber(gas.force),
      expected_N: evidenceNumber(limit),
      difference_N: evidenceNumber(gas.force - limit),
      tolerance_N: evidenceNumber(tolerance),
      uncertainty_N: evidenceNumber(gas.U),
      ...(gas.temperature !== undefined && { temperature_Cel: evidenceNumber(gas.temperature - 273.15) }),
    },
  });
}

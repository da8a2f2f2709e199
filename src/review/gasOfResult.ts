import { expectedGasForce, EXPONENT_MOVING } from '../analysis/gas/expectedGasForce';
import type { DamperHardware } from '../analysis/runAnalysis';
import { damperHardware } from './damperHardware';
import type { JudgedResult } from './judgedResult';
import type { JudgeInput } from './judgeInput';

/** Gas force that the spec's charge leads one to expect [N]; an open end where the test does not say enough. */
export interface ExpectedGas {
  readonly least: number;
  /** Infinity where squeeze is not known: mid position or gas volume is not stated. */
  readonly most: number;
}

/** Gas of a test as far as log or result tell it. */
export interface MeasuredGas {
  readonly force: number;
  readonly source: 'fit' | 'static' | 'none' | 'stated' | 'constant';
  /** Expanded uncertainty [N]; what the method promises where the log is not there to tell. */
  readonly U: number;
  readonly temperature?: number;
  readonly rate?: number;
  readonly reason?: string;
}

/** Promised for the fit: within 3 % or 8 N. */
const FIT_U = 8;
const FIT_U_RELATIVE = 0.03;
const COVERAGE = 2;

/** The constant force of the test: gas where a fit tells it, else whatever it consists of. */
function measuredGas(input: JudgeInput): MeasuredGas | undefined {
  const gas = input.analysis?.gas;
  if (gas !== undefined && Number.isFinite(gas.force)) {
    const { force, source, temperature, rate, reason } = gas;
    return {
      force,
      source,
      U: COVERAGE * gas.u,
      ...(temperature !== undefined && { temperature }),
      ...(rate !== undefined && { rate }),
      ...(reason !== undefined && { reason }),
    };
  }
  const stated = input.table.gas;
  if (stated === undefined) return undefined;
  const { force, source, temperature } = stated;
  const U = Math.max(FIT_U, FIT_U_RELATIVE * Math.abs(force));
  return temperature === undefined ? { force, source, U } : { force, source, U, temperature };
}

/** Whether the measured constant force is gas and nothing else. */
export function isGasForce(input: JudgeInput, gas: MeasuredGas): boolean {
  return (gas.source === 'fit' || gas.source === 'static') && input.table.basis.forceZero === 'unloaded';
}

/**
 * Expected gas force at mid-stroke and the measured temperature, else over the temperature window of the spec. Where mid position or gas
 * volume is not stated the squeeze is unknown, and only its least value, at full extension, can be named.
 * @returns undefined where the spec lacks rod or charge, or no temperature is known at all.
 */
function expectedGas(input: JudgeInput, gas: MeasuredGas): ExpectedGas | undefined {
  const { spec, table } = input;
  if (spec === undefined) return undefined;
  const hardware = damperHardware(spec);
  const window = gas.temperature === undefined ? spec.test.temperature : ([gas.temperature, gas.temperature] as const);
  if (window === undefined) return undefined;
  const insertion = table.basis.midPosition;
  const known = insertion !== undefined && knowsSqueeze(hardware);
  const at = known ? insertion : 0;
  const least = expectedGasForce(hardware, at, window[0], EXPONENT_MOVING);
  const most = window[0] === window[1] ? least : expectedGasForce(hardware, at, window[1], EXPONENT_MOVING);
  if (least === undefined || most === undefined) return undefined;
  return { least, most: known || hasNoGasForce(hardware) ? most : Infinity };
}

/** The constant force of a test, and what its spec leads one to expect. */
export interface GasOfTest {
  readonly measured: MeasuredGas;
  readonly expected: ExpectedGas | undefined;
}

/** Undefined where neither log nor result tell a constant force. */
export function gasOfTest(input: JudgeInput): GasOfTest | undefined {
  const measured = measuredGas(input);
  return measured === undefined ? undefined : { measured, expected: expectedGas(input, measured) };
}

/** Gas of a judged result, as reports show it. */
export function shownGas({ measured, expected }: GasOfTest): ShownGas {
  const { force, source, rate, reason } = measured;
  const found: { -readonly [Key in keyof ShownGas]: ShownGas[Key] } = { force, source };
  if (expected !== undefined && expected.least === expected.most) found.expected = expected.least;
  if (rate !== undefined) found.rate = rate;
  if (reason !== undefined) found.reason = reason;
  return found;
}

type ShownGas = NonNullable<JudgedResult['gas']>;

function knowsSqueeze(hardware: DamperHardware): boolean {
  return hardware.gasVolume !== undefined;
}

function hasNoGasForce(hardware: DamperHardware): boolean {
  return hardware.rod === 'through' || hardware.gas === 'none';
}

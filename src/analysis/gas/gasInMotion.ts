import type { DamperHardware } from '../runAnalysis';
import {
  ATMOSPHERE,
  absoluteGasPressure,
  CHARGE_TEMPERATURE,
  EXPONENT_MOVING,
  EXPONENT_STATIC,
} from './expectedGasForce';
import { gasOf } from './gasModel';
import type { GasModel } from './gasModel';

/** Gas as a static log shows it, displacement counted from the mid-stroke of the test. */
export interface StaticGas {
  readonly model: GasModel;
  /** Standard uncertainty of its force [N]. */
  readonly u: number;
  /** [K] */
  readonly temperature?: number;
  /** Whether it moved so slowly that the gas kept its temperature; a creep step of the test itself does not. */
  readonly heldStill: boolean;
}

/** What must be known of damper and test to carry gas from a static log to the moving test. */
export interface MotionContext {
  readonly hardware?: DamperHardware;
  /** Mid-stroke of the test from full extension [m]. */
  readonly midPosition?: number;
  readonly forceZero?: 'unloaded' | 'mounted' | 'unknown';
}

/** Gas force of the moving test, from a static log. */
export interface GasInMotion {
  /** At a step's temperature [K], or at the static log's where it is not known. */
  modelAt(temperature?: number): GasModel;
  /** Standard uncertainties [N]: of force and squeeze, and of the warming since the static log. */
  uncertaintyAt(temperature?: number): { readonly fit: number; readonly temperature: number };
  /** What is missing to carry it over; its share is then in the uncertainty alone. */
  readonly missing?: string;
}

/**
 * The exponents' difference, 0.3, may be out by this much either way: gas held still shows 1.0 to 1.1, gas in a running test 1.2 to 1.4,
 * which is adiabatic (common practice).
 */
const EXPONENT_DOUBT = 0.15;
/** Gas volume may lose 28 % up to mid-stroke, and 1.39^0.3 is 1.10: what squeeze adds where it is not known lies between nothing and this. */
const SQUEEZE_DOUBT = 0.1;
/** Share of the warming that the gas may not have taken part in: temperature is measured at the body. */
const WARMING_DOUBT = 0.5;
const SHARE_PER_KELVIN = 1 / 300;

/**
 * Carries gas from a static log to the moving test: at each displacement p_moving = p_static s^(1.3 - 1.0) T / T_static, with
 * s = V0 / (V0 - A x), x from full extension (ideal gas, polytropic; the same exponents as in expectedGasForce). The static pressure is
 * F/A + p_atm where the load cell was zeroed unloaded; else force holds a zero of its own and the spec's charge gives the pressure that
 * changes. Where rod, gas volume or mid position is not known, force stays as measured and the uncertainty holds what squeeze may add.
 */
export function gasInMotion(gas: StaticGas, context: MotionContext): GasInMotion {
  const { model } = gas;
  const hardware = context.hardware ?? {};
  const middle = context.midPosition;
  const area = hardware.rodArea;
  const without = hardware.rod === 'through' || hardware.gas === 'none';
  const pressure = (x: number): number | undefined => pressureHeldStill(gas, context, x);
  const squeeze = squeezeOver(hardware, middle);
  const missing = without || !gas.heldStill ? undefined : missingFor(pressure(0), squeeze?.(0), context);
  const carries = !without && area !== undefined && pressure(0) !== undefined;
  const squeezed = (x: number): number =>
    gas.heldStill && missing === undefined ? (squeeze?.(x) ?? 1) ** (EXPONENT_MOVING - EXPONENT_STATIC) : 1;
  const warming = (temperature?: number): number =>
    temperature === undefined || gas.temperature === undefined ? 1 : temperature / gas.temperature;

  const modelAt = (temperature?: number): GasModel => {
    if (!carries) return model;
    const warm = warming(temperature);
    return gasOf((x) => model.at(x) + area * (pressure(x) ?? 0) * (squeezed(x) * warm - 1));
  };
  const squeezeU = ((): number => {
    if (without || !gas.heldStill) return 0;
    if (!carries || missing !== undefined) return (SQUEEZE_DOUBT * Math.abs(model.force)) / Math.sqrt(3);
    const moving = area * pressure(0)! * squeezed(0);
    return (moving * Math.log(squeeze!(0)!) * EXPONENT_DOUBT) / Math.sqrt(3);
  })();
  const warmingU = (temperature?: number): number => {
    if (without || temperature === undefined || gas.temperature === undefined) return 0;
    const carried = carries ? area * pressure(0)! * Math.abs(warming(temperature) - 1) : undefined;
    const apart = Math.abs(temperature - gas.temperature);
    return (
      (carried === undefined ? apart * SHARE_PER_KELVIN * Math.abs(model.force) : WARMING_DOUBT * carried) /
      Math.sqrt(3)
    );
  };
  return {
    modelAt,
    uncertaintyAt: (temperature) => ({ fit: Math.hypot(gas.u, squeezeU), temperature: warmingU(temperature) }),
    ...(missing !== undefined && { missing }),
  };
}

/** Absolute pressure of the gas held still [Pa]; undefined where neither force nor charge tells it. */
function pressureHeldStill(gas: StaticGas, context: MotionContext, x: number): number | undefined {
  const area = context.hardware?.rodArea;
  if (area === undefined) return undefined;
  if (context.forceZero === 'unloaded') return Math.max(0, gas.model.at(x) / area + ATMOSPHERE);
  const temperature = gas.temperature ?? CHARGE_TEMPERATURE;
  return absoluteGasPressure(context.hardware ?? {}, (context.midPosition ?? 0) + x, temperature, EXPONENT_STATIC);
}

/** V0 / (V0 - A x) over displacement from mid-stroke; undefined where it is not known, or the rod would need more room than the gas has. */
function squeezeOver(
  hardware: DamperHardware,
  middle: number | undefined,
): ((x: number) => number | undefined) | undefined {
  const { rodArea: area, gasVolume: volume } = hardware;
  if (area === undefined || volume === undefined || middle === undefined) return undefined;
  return (x) => {
    const left = volume - area * (middle + x);
    return left > 0 ? volume / left : undefined;
  };
}

function missingFor(
  pressure: number | undefined,
  squeeze: number | undefined,
  context: MotionContext,
): string | undefined {
  if (pressure !== undefined && squeeze !== undefined) return undefined;
  const { hardware, midPosition } = context;
  const lacks = [
    ...(hardware?.rodArea === undefined ? ['the rod'] : []),
    ...(hardware?.gasVolume === undefined ? ['the gas volume'] : []),
    ...(midPosition === undefined ? ['the mid position of the test'] : []),
  ];
  if (lacks.length > 0) return lacks.join(' and ');
  return pressure === undefined
    ? 'the gas pressure, or a load cell zeroed unloaded'
    : 'a gas volume that the rod leaves room in';
}

const ATMOSPHERE = 101_325;
const CHARGE_TEMPERATURE = 293.15;

/** Gas behind a separator piston; the rod's volume squeezes it. */
export interface GasSpring {
  /** [m] */
  readonly rodDiameter: number;
  /** Gauge pressure at full extension and 20 C [Pa]. */
  readonly pressure: number;
  /** At full extension [m3]. */
  readonly volume: number;
  /** Polytropic exponent: 1.0 held still, 1.1 to 1.4 moving. */
  readonly exponent: number;
}

/** Force of the gas on the rod [N], positive (it pushes the rod out). `insertion` is the rod's travel in from full extension [m]. */
export function gasForce(gas: GasSpring, insertion: number, temperature: number): number {
  const rodArea = (Math.PI * gas.rodDiameter ** 2) / 4;
  const squeeze = gas.volume / (gas.volume - rodArea * insertion);
  const absolute = (gas.pressure + ATMOSPHERE) * squeeze ** gas.exponent * (temperature / CHARGE_TEMPERATURE);
  return (absolute - ATMOSPHERE) * rodArea;
}

/** Slope of gas force over insertion [N/m]. */
export function gasRate(gas: GasSpring, insertion: number, temperature: number): number {
  const rodArea = (Math.PI * gas.rodDiameter ** 2) / 4;
  const left = gas.volume - rodArea * insertion;
  const absolute =
    (gas.pressure + ATMOSPHERE) * (gas.volume / left) ** gas.exponent * (temperature / CHARGE_TEMPERATURE);
  return (absolute * gas.exponent * rodArea ** 2) / left;
}

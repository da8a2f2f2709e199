import { ATMOSPHERE, EXPONENT_MOVING } from './expectedGasForce';

/** Gas force over the stroke, the load cell's zero included. Displacement is counted from mid-stroke [m]. */
export interface GasModel {
  /** At mid-stroke [N]. */
  readonly force: number;
  /** Slope at mid-stroke [N/m]. */
  readonly rate: number;
  /** Force at a displacement from mid-stroke [N]. */
  at(displacement: number): number;
}

export function straightGas(force: number, rate: number): GasModel {
  return { force, rate, at: (x) => force + rate * x };
}

/** @param curve of the square of displacement [N/m2]. */
export function curvedGas(force: number, rate: number, curve: number): GasModel {
  return { force, rate, at: (x) => force + (rate + curve * x) * x };
}

/** The same gas counted from a place `shift` [m] farther in compression. */
export function gasFrom(model: GasModel, shift: number): GasModel {
  return gasOf((x) => model.at(x + shift));
}

/** A course of gas force over displacement [N over m]. */
export function gasOf(at: (displacement: number) => number): GasModel {
  return { force: at(0), rate: (at(RATE_STEP) - at(-RATE_STEP)) / (2 * RATE_STEP), at };
}

/** Short beside any stroke [m]. */
const RATE_STEP = 1e-4;

interface GasAtEnd {
  readonly displacement: number;
  readonly force: number;
}

/**
 * Course of gas force between two ends where it was measured. Gas volume is linear in displacement, so that p^(-1/n) is: where the rod
 * is known and force is positive at both ends, (F / A_rod + p_atm)^(-1/1.3) is laid straight through both; else F is.
 */
export function gasBetweenEnds(a: GasAtEnd, b: GasAtEnd, rodArea: number | undefined): GasModel {
  const span = a.displacement - b.displacement;
  const secant = (a.force - b.force) / span;
  if (rodArea === undefined || !(a.force > 0 && b.force > 0))
    return straightGas(a.force - secant * a.displacement, secant);
  const volumeAt = (force: number): number => (force / rodArea + ATMOSPHERE) ** (-1 / EXPONENT_MOVING);
  const slope = (volumeAt(a.force) - volumeAt(b.force)) / span;
  const middle = volumeAt(a.force) - slope * a.displacement;
  const at = (x: number): number => rodArea * ((middle + slope * x) ** -EXPONENT_MOVING - ATMOSPHERE);
  return { force: at(0), rate: -EXPONENT_MOVING * rodArea * slope * middle ** (-EXPONENT_MOVING - 1), at };
}

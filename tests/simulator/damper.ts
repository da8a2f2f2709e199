import type { Side } from '../../src/analysis/side';
import type { SimulatedAdjuster } from './adjusters';
import type { GasSpring } from './gasSpring';

/** Valve force [N] over speed [m/s], both unsigned, at the reference temperature and with every adjuster closed. */
export type ValveLaw = (speed: number) => number;

/**
 * A valve with a knee: blow-off preload reached around `kneeSpeed`, then a slope. `square` adds an orifice term [N s2/m2].
 * force = preload tanh(speed / kneeSpeed) + slope speed + square speed^2.
 */
export function kneeValve(law: { preload: number; kneeSpeed: number; slope: number; square?: number }): ValveLaw {
  const { preload, kneeSpeed, slope, square = 0 } = law;
  return (speed) => preload * Math.tanh(speed / kneeSpeed) + (slope + square * speed) * speed;
}

/** Viscous for exponent 1: force = coefficient speed^exponent. */
export function powerLawValve(coefficient: number, exponent: number): ValveLaw {
  return (speed) => coefficient * speed ** exponent;
}

/** A damper as the simulator knows it. SI units throughout; forces positive in compression. */
export interface SimulatedDamper {
  readonly valves: Readonly<Record<Side, ValveLaw>>;
  /** Absent: no gas spring, such as a through-rod damper. */
  readonly gas?: GasSpring;
  /** Coulomb friction of seals and guide [N], reached as tanh(speed / frictionSpeed). */
  readonly friction: number;
  /** [m/s] */
  readonly frictionSpeed: number;
  /** Time constant of the fluid column between piston speed and valve force [s]. */
  readonly lag: number;
  /** Absent: the damper keeps the temperature it starts with. */
  readonly heat?: HeatModel;
  readonly adjusters: readonly SimulatedAdjuster[];
  readonly faults: DamperFaults;
}

/** One lump of oil and metal: warmed by the damping power, cooled to the room. */
export interface HeatModel {
  /** [J/K] */
  readonly capacity: number;
  /** [K] */
  readonly ambient: number;
  /** Time constant of cooling [s]. */
  readonly coolingTime: number;
  /** Share of valve force lost per kelvin above `referenceTemperature` [1/K]. */
  readonly forceLoss: number;
  /** [K] */
  readonly referenceTemperature: number;
}

/** Everything that can be wrong inside a damper or its fixture. An empty object is a healthy unit. */
export interface DamperFaults {
  /** Travel after a reversal over which a side makes no valve force [m]: total force stays at gas and friction. */
  readonly voids?: Readonly<Partial<Record<Side, number>>>;
  /** Play in the mounting or rod end [m]: total force is zero over this travel after every reversal. */
  readonly mountingPlay?: number;
  /** Shortfall of one side's valve force around one position: a bell of this depth (share) and full width at half depth. */
  readonly drop?: {
    readonly side: Side;
    readonly displacement: number;
    readonly width: number;
    readonly depth: number;
  };
  /** Compression valve force [N] beyond which the rod-side chamber boils: force stays there, and the cavity must close before rebound force returns. */
  readonly cavitationCeiling?: number;
  /** Valve chatter on one side above a speed: root mean square [N] and frequency [Hz]. */
  readonly chatter?: {
    readonly side: Side;
    readonly rms: number;
    readonly frequency: number;
    readonly aboveSpeed: number;
  };
}

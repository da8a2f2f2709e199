import { evenClicks } from '../adjusters';
import type { SimulatedAdjuster } from '../adjusters';
import type { DamperFaults, HeatModel, SimulatedDamper, ValveLaw } from '../damper';
import { kneeValve, powerLawValve } from '../damper';

/**
 * The invented dampers of the samples. One unit differs from another of its kind by a little valve scatter; a build's fault is a
 * change of one thing. The figures are made up for these samples and stand for no real part.
 */
export interface UnitVariation {
  /** Relative difference of the unit's valves from the design. */
  readonly compression: number;
  readonly rebound: number;
  readonly friction: number;
}

export interface BuildFault {
  /** Gauge pressure at full extension in place of the design's [Pa]. */
  readonly gasPressure?: number;
  /** Rebound valve force lost around one speed: depth as a share, speed [m/s], width as a ratio of speeds. */
  readonly reboundDip?: { readonly depth: number; readonly speed: number; readonly width: number };
  /** Clicks by which an adjuster stands further out than it is set. */
  readonly leftOut?: Readonly<Record<string, number>>;
  /** Click from which an adjuster does nothing more. */
  readonly deadFrom?: Readonly<Record<string, number>>;
  readonly damper?: DamperFaults;
}

/** The bench room is held at 31 C, and the fan brings a damper back to it between settings. */
export const ROOM_TEMPERATURE = 304.15;
const HEAT: HeatModel = {
  capacity: 1600,
  ambient: ROOM_TEMPERATURE,
  coolingTime: 120,
  forceLoss: 0.0015,
  referenceTemperature: ROOM_TEMPERATURE,
};

export function frontStrut(unit: UnitVariation, fault: BuildFault = {}): SimulatedDamper {
  return {
    valves: {
      compression: scaled(kneeValve({ preload: 520, kneeSpeed: 0.09, slope: 620 }), unit.compression),
      rebound: withDip(scaled(kneeValve({ preload: 900, kneeSpeed: 0.11, slope: 750 }), unit.rebound), fault),
    },
    gas: { rodDiameter: 0.022, pressure: fault.gasPressure ?? 7e5, volume: 120e-6, exponent: 1.3 },
    friction: 26 + unit.friction,
    frictionSpeed: 0.001,
    lag: 0.0003,
    heat: HEAT,
    adjusters: [
      adjuster('LSC', 'compression', 'low', 12, 0.05, fault),
      adjuster('HSC', 'compression', 'high', 8, 0.05, fault),
      adjuster('R', 'rebound', 'all', 12, 0.05, fault),
    ],
    faults: fault.damper ?? {},
  };
}

export function rearDamper(unit: UnitVariation, fault: BuildFault = {}): SimulatedDamper {
  return {
    valves: {
      compression: scaled(kneeValve({ preload: 380, kneeSpeed: 0.1, slope: 700 }), unit.compression),
      rebound: withDip(scaled(kneeValve({ preload: 750, kneeSpeed: 0.12, slope: 900 }), unit.rebound), fault),
    },
    gas: { rodDiameter: 0.014, pressure: fault.gasPressure ?? 13e5, volume: 64e-6, exponent: 1.3 },
    friction: 15 + unit.friction,
    frictionSpeed: 0.001,
    lag: 0.0002,
    heat: HEAT,
    adjusters: [
      adjuster('C', 'compression', 'all', 10, 0.045, fault),
      adjuster('R', 'rebound', 'all', 10, 0.065, fault),
    ],
    faults: fault.damper ?? {},
  };
}

/** The check damper: no adjusters, compression digressive, rebound a straight line. */
export function checkDamper(): SimulatedDamper {
  return {
    valves: {
      compression: kneeValve({ preload: 330, kneeSpeed: 0.12, slope: 520 }),
      rebound: powerLawValve(1250, 1),
    },
    gas: { rodDiameter: 0.014, pressure: 10e5, volume: 70e-6, exponent: 1.3 },
    friction: 14,
    frictionSpeed: 0.001,
    lag: 0.0002,
    heat: HEAT,
    adjusters: [],
    faults: {},
  };
}

/** Gas that is moved slowly gives some of its heat away: 1.1 in place of 1.3 (accumulator tables, normal change). */
export function heldStill(damper: SimulatedDamper): SimulatedDamper {
  return damper.gas === undefined ? damper : { ...damper, gas: { ...damper.gas, exponent: 1.1 } };
}

function adjuster(
  id: string,
  side: SimulatedAdjuster['side'],
  band: SimulatedAdjuster['band'],
  clicks: number,
  effect: number,
  fault: BuildFault,
): SimulatedAdjuster {
  const leftOut = fault.leftOut?.[id];
  return {
    id,
    side,
    band,
    bandSpeed: 0.4,
    bandSharpness: 4,
    clickEffects: evenClicks(clicks, effect, fault.deadFrom?.[id]),
    ...(leftOut !== undefined && { leftOut }),
  };
}

function scaled(valve: ValveLaw, difference: number): ValveLaw {
  return (speed) => (1 + difference) * valve(speed);
}

function withDip(valve: ValveLaw, fault: BuildFault): ValveLaw {
  const dip = fault.reboundDip;
  if (!dip) return valve;
  return (speed) => {
    const away = Math.log(Math.max(speed, 1e-9) / dip.speed) / Math.log(dip.width);
    return valve(speed) * (1 - dip.depth * Math.exp(-0.5 * away * away));
  };
}

import type { Side } from '../../src/analysis/side';
import { adjusterFactor } from './adjusters';
import type { RunScatter } from './bench';
import type { SimulatedDamper, ValveLaw } from './damper';
import type { Place } from './driveShape';
import { gasForce } from './gasSpring';

/** Where the rod is within a stroke, as far as faults care. */
export interface StrokePart {
  readonly side: Side;
  readonly inVoid: boolean;
  readonly inPlay: boolean;
}

/** The damper in motion: what it remembers from one instant to the next, and the force it makes. SI. */
export class DamperMotion {
  temperature: number;
  private readonly damper: SimulatedDamper;
  private readonly midPosition: number;
  private readonly scatter: RunScatter;
  private valves: Record<Side, ValveLaw>;
  private part: StrokePart = { side: 'compression', inVoid: false, inPlay: false };
  private fluidForce = 0;
  private target = 0;
  /** Rod travel that the boiled-out cavity still has to close [m]. */
  private cavity = 0;

  constructor(damper: SimulatedDamper, midPosition: number, startTemperature: number, scatter: RunScatter) {
    this.damper = damper;
    this.midPosition = midPosition;
    this.scatter = scatter;
    this.temperature = startTemperature + scatter.temperature;
    this.valves = damper.valves;
  }

  set(setting: Readonly<Record<string, number>>): void {
    const { backlash, gain } = this.scatter;
    const actual = Object.fromEntries(Object.entries(setting).map(([id, clicks]) => [id, clicks + backlash]));
    const adjusted = (side: Side): ValveLaw => {
      const law = this.damper.valves[side];
      const factor = adjusterFactor(this.damper.adjusters, actual, side);
      return (speed) => (1 + gain) * law(speed) * factor(speed);
    };
    this.valves = { compression: adjusted('compression'), rebound: adjusted('rebound') };
  }

  /** The damper stands still: the fluid column relaxes, and heat goes to the room. */
  standStill(duration: number): void {
    this.fluidForce = 0;
    this.target = 0;
    const heat = this.damper.heat;
    if (heat) {
      this.temperature = heat.ambient + (this.temperature - heat.ambient) * Math.exp(-duration / heat.coolingTime);
    }
  }

  /** A new part of a stroke begins here; the valve's force may jump, the fluid's does not. */
  begin(part: StrokePart, place: Place): void {
    this.part = part;
    if (part.inPlay) this.fluidForce = 0;
    this.target = this.targetAt(place);
    if (this.damper.lag <= 0) this.fluidForce = this.target;
  }

  /** Moves on by `duration` to a new place, the valve's own force taken as straight in time: the lag is then solved exactly. */
  advance(duration: number, place: Place): void {
    const { velocity } = place;
    const before = this.target;
    const after = this.targetAt(place);
    this.target = after;
    this.fluidForce = this.part.inPlay ? 0 : lagged(this.fluidForce, before, after, duration, this.damper.lag);
    if (this.cavity > 0 && velocity < 0) this.cavity = Math.max(0, this.cavity + velocity * duration);
    const heat = this.damper.heat;
    if (heat) {
      const warming = Math.abs(this.fluidForce * velocity) + this.damper.friction * Math.abs(velocity);
      this.temperature += (warming / heat.capacity - (this.temperature - heat.ambient) / heat.coolingTime) * duration;
    }
    if (this.damper.faults.cavitationCeiling !== undefined) this.openCavity(velocity, duration);
  }

  /** Force on the load cell, its own errors aside [N]. */
  force({ displacement, velocity }: Place): number {
    if (this.part.inPlay) return 0;
    const friction = this.damper.friction * Math.tanh(velocity / this.damper.frictionSpeed);
    return this.fluidForce + this.gasAt(displacement) + friction;
  }

  gasAt(displacement: number): number {
    return this.damper.gas ? gasForce(this.damper.gas, this.midPosition + displacement, this.temperature) : 0;
  }

  private targetAt({ displacement, velocity }: Place): number {
    const { side, inVoid, inPlay } = this.part;
    if (inVoid || inPlay || velocity === 0) return 0;
    if (side === 'rebound' && this.cavity > 0) return 0;
    let force = this.valves[side](Math.abs(velocity)) * this.warmth();
    const { drop, cavitationCeiling } = this.damper.faults;
    if (drop?.side === side) {
      const sigma = drop.width / (2 * Math.sqrt(2 * Math.LN2));
      force *= 1 - drop.depth * Math.exp(-0.5 * ((displacement - drop.displacement) / sigma) ** 2);
    }
    if (side === 'compression') return Math.min(force, cavitationCeiling ?? Infinity);
    return -force;
  }

  private warmth(): number {
    const heat = this.damper.heat;
    return heat ? 1 - heat.forceLoss * (this.temperature - heat.referenceTemperature) : 1;
  }

  /** Beyond the ceiling the fluid that the valve no longer passes leaves a cavity behind the piston. */
  private openCavity(velocity: number, duration: number): void {
    if (this.part.side !== 'compression' || velocity <= 0) return;
    const wanted = this.valves.compression(velocity) * this.warmth();
    const ceiling = this.damper.faults.cavitationCeiling!;
    if (wanted > ceiling) this.cavity += (1 - ceiling / wanted) * velocity * duration;
  }
}

/** First-order lag over a time in which its input runs straight from `before` to `after`. */
function lagged(state: number, before: number, after: number, duration: number, lag: number): number {
  if (lag <= 0 || duration <= 0) return lag <= 0 ? after : state;
  const behind = ((after - before) / duration) * lag;
  return after - behind + (state - before + behind) * Math.exp(-duration / lag);
}

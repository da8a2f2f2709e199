import type { AdjusterSweep } from '../../../src/analysis/adjusters/sweep';
import type { RandomSource } from '../../simulator/random';

export const SPEEDS = Array.from({ length: 15 }, (_, i) => (i + 1) / 10);

/** An adjuster whose clicks take off a share of damping over low or high speeds, with steps that scatter by nature. */
export interface UnitAdjuster {
  readonly id: string;
  readonly side: 'compression' | 'rebound';
  readonly clicks: number;
  readonly low: boolean;
  /** [m/s] */
  readonly halfEffect: number;
  /** Share of damping a mean click takes off where the adjuster acts in full. */
  readonly step: number;
  /** Each click over the mean one. */
  readonly increments: readonly number[];
}

export interface Unit {
  readonly curve: Readonly<Record<'compression' | 'rebound', (v: number) => number>>;
  readonly adjusters: readonly UnitAdjuster[];
}

/** Three-way (LSC, HSC, LSR) or four-way, with forces and ranges as dampers have them (common practice). */
export function randomUnit(random: RandomSource, steps: readonly [number, number] = [0.03, 0.06]): Unit {
  const curve = (preload: readonly [number, number]): ((v: number) => number) => {
    const f0 = random.uniform(...preload);
    const v0 = random.uniform(0.06, 0.2);
    const c = random.uniform(300, 1500);
    return (v) => f0 * Math.tanh(v / v0) + c * v;
  };
  const adjuster = (id: string, side: 'compression' | 'rebound', low: boolean): UnitAdjuster => {
    const clicks = low ? 18 : 12;
    return {
      id,
      side,
      clicks,
      low,
      halfEffect: random.uniform(0.25, 0.7),
      step: random.uniform(...steps),
      increments: Array.from({ length: clicks }, () => 1 + 0.08 * random.normal()),
    };
  };
  const adjusters = [adjuster('LSC', 'compression', true), adjuster('HSC', 'compression', false)];
  adjusters.push(adjuster('LSR', 'rebound', true));
  if (random.chance(0.5)) adjusters.push(adjuster('HSR', 'rebound', false));
  return { curve: { compression: curve([200, 900]), rebound: curve([300, 1500]) }, adjusters };
}

export function effectShare(adjuster: UnitAdjuster, v: number): number {
  const low = 1 / (1 + (v / adjuster.halfEffect) ** 5);
  return adjuster.low ? low : 1 - low;
}

/** Sweep of one adjuster with the others at half their range, each point with relative noise that its `u` states. */
export function sweepOf(unit: Unit, adjuster: UnitAdjuster, random: RandomSource, noise: number): AdjusterSweep {
  const others = unit.adjusters.filter((one) => one.side === adjuster.side && one !== adjuster);
  const opened = [0];
  for (const increment of adjuster.increments) opened.push(opened[opened.length - 1]! + increment);
  const base = SPEEDS.map(
    (v) =>
      unit.curve[adjuster.side](v) *
      Math.exp(-others.reduce((sum, one) => sum + (one.clicks / 2) * one.step * effectShare(one, v), 0)),
  );
  const clean = opened.map((amount) =>
    SPEEDS.map((v, k) => base[k]! * Math.exp(-amount * adjuster.step * effectShare(adjuster, v))),
  );
  return {
    positions: opened.map((_, i) => i),
    speeds: SPEEDS,
    damping: clean.map((row) => row.map((force) => force * (1 + noise * random.normal()))),
    u: clean.map((row) => row.map((force) => noise * force)),
  };
}

export function withIncrement(adjuster: UnitAdjuster, index: number, value: number): UnitAdjuster {
  return { ...adjuster, increments: adjuster.increments.map((one, i) => (i === index ? value : one)) };
}

/** Nearly no effect past `position`, as where a needle has left its seat's taper. */
export function deadPast(adjuster: UnitAdjuster, position: number): UnitAdjuster {
  return { ...adjuster, increments: adjuster.increments.map((one, i) => (i >= position ? 0.02 * one : one)) };
}

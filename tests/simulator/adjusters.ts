import type { Side } from '../../src/analysis/side';

/** An adjuster: every click out multiplies a band of one side's curve by exp(-effect of the click x weight(speed)). */
export interface SimulatedAdjuster {
  readonly id: string;
  readonly side: Side | 'both';
  /** Entry i is the share of force lost by the click from i to i + 1 (as a logarithm, about the share itself). */
  readonly clickEffects: readonly number[];
  /** low: acts below `bandSpeed`; high: acts above it; all: at every speed. */
  readonly band: 'low' | 'high' | 'all';
  /** Speed of half effect [m/s]. */
  readonly bandSpeed: number;
  /** How sharply the band ends: exponent of the speed ratio. */
  readonly bandSharpness: number;
  /** Clicks by which the adjuster truly stands further out than its setting says (negative: further in). */
  readonly leftOut?: number;
}

/** Equal clicks over the whole range; `deadFrom` is the click from which the adjuster does nothing more. */
export function evenClicks(count: number, effect: number, deadFrom = count): number[] {
  return Array.from({ length: count }, (_, click) => (click < deadFrom ? effect : 0));
}

/** Share of the adjuster's effect that reaches this speed, 0 to 1. */
export function bandWeight(adjuster: SimulatedAdjuster, speed: number): number {
  if (adjuster.band === 'all') return 1;
  const low = 1 / (1 + (speed / adjuster.bandSpeed) ** adjuster.bandSharpness);
  return adjuster.band === 'low' ? low : 1 - low;
}

/** Effect summed over the clicks out from closed; fractions of a click are interpolated, beyond the stops nothing changes. */
export function summedEffect(adjuster: SimulatedAdjuster, clicks: number): number {
  const position = Math.min(Math.max(clicks + (adjuster.leftOut ?? 0), 0), adjuster.clickEffects.length);
  const whole = Math.floor(position);
  let sum = 0;
  for (let click = 0; click < whole; click++) sum += adjuster.clickEffects[click]!;
  return whole < position ? sum + (position - whole) * adjuster.clickEffects[whole]! : sum;
}

/** Factor on a side's valve force over speed, for one setting; adjusters that the setting does not name stand closed. */
export function adjusterFactor(
  adjusters: readonly SimulatedAdjuster[],
  setting: Readonly<Record<string, number>>,
  side: Side,
): (speed: number) => number {
  const acting = adjusters
    .filter((adjuster) => adjuster.side === side || adjuster.side === 'both')
    .map((adjuster) => ({ adjuster, effect: summedEffect(adjuster, setting[adjuster.id] ?? 0) }))
    .filter(({ effect }) => effect !== 0);
  if (acting.length === 0) return () => 1;
  return (speed) => {
    let exponent = 0;
    for (const { adjuster, effect } of acting) exponent += effect * bandWeight(adjuster, speed);
    return Math.exp(-exponent);
  };
}

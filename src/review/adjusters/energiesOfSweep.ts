import type { SettingSweep } from './settingSweeps';
import type { SharedRows } from './sweepForces';

export interface StepEnergies {
  /** [m/s] */
  readonly speed: number;
  /** One a step, in the order of the positions [J]. */
  readonly perUnit: readonly number[];
}

/**
 * Energy of a cycle that each step adds per unit of the adjuster, in its own count, at the speed where the sweep moves energy most.
 * @param shared `sharedRows` of compression
 * @returns undefined where the table has no energies.
 */
export function energiesOfSweep(sweep: SettingSweep, shared: SharedRows): StepEnergies | undefined {
  const columns = shared
    .map((rows) => ({ speed: rows[0]!.velocity, energy: rows.map((row) => row.measured?.energy ?? NaN) }))
    .filter(({ energy }) => energy.every(Number.isFinite));
  const [first, ...others] = columns;
  if (first === undefined) return undefined;
  const spread = (energy: readonly number[]): number => Math.max(...energy) - Math.min(...energy);
  const { speed, energy } = others.reduce((a, b) => (spread(b.energy) > spread(a.energy) ? b : a), first);
  const perUnit = energy
    .slice(1)
    .map((next, i) => (next - energy[i]!) / (sweep.positions[i + 1]! - sweep.positions[i]!));
  return { speed, perUnit };
}

import type { AdjusterSweep } from '../../analysis/adjusters/sweep';
import type { SideForces } from './sweepForces';

/**
 * A sweep as the analysis wants it: positions rise as the adjuster opens. A count from the open stop, or of a tension that is screwed in,
 * is turned round, so that -80 lb, -35 lb, -25 lb, -22 lb open; each step stays one unit of the adjuster.
 *
 * @param positions rising, in the adjuster's own count.
 */
export function openedSweep(
  positions: readonly number[],
  { speeds, damping, u }: SideForces,
  countsFrom: 'closed' | 'open',
): AdjusterSweep {
  if (countsFrom === 'closed') return { positions, speeds, damping, ...(u !== undefined && { u }) };
  return {
    positions: positions.map((position) => 0 - position).reverse(),
    speeds,
    damping: [...damping].reverse(),
    ...(u !== undefined && { u: [...u].reverse() }),
  };
}

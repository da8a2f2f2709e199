import { levelsOfSweep } from '../../analysis/adjusters/sweep';
import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { ForceTable } from '../../files/forceTable';
import type { Adjuster } from '../../files/spec';
import type { AdjusterReview } from './adjusterReview';
import { openedSweep } from './openedSweep';
import type { SettingSweep } from './settingSweeps';
import { bothSides, sharedRows, sideForces, type SharedRows, type SideForces } from './sweepForces';

/** A side that moves by more than this share of the other one moves too, where the spec does not say on which side an adjuster acts. */
const MOVES_TOO = 0.5;

export function forcesOf(
  table: ForceTable,
  sweep: SettingSweep,
  shared: Readonly<Record<Side, SharedRows>>,
): Partial<Record<Side, SideForces>> {
  const forces: Partial<Record<Side, SideForces>> = {};
  for (const side of SIDES) {
    const found = sideForces(table, sweep, side, shared[side]);
    if (found !== undefined) forces[side] = found;
  }
  return forces;
}

/** Rows at the speeds that the positions of a sweep share, of both sides. */
export function sharedOfSides(sweep: SettingSweep): Readonly<Record<Side, SharedRows>> {
  return { compression: sharedRows(sweep, 'compression'), rebound: sharedRows(sweep, 'rebound') };
}

export function forcesOfSide(forces: AdjusterReview['forces'], side: Side | 'both'): SideForces | undefined {
  if (side !== 'both') return forces[side];
  const { compression, rebound } = forces;
  return compression && rebound && bothSides(compression, rebound);
}

/** The side that the sweep moves, where the spec does not say. */
export function movingSide(
  sweep: SettingSweep,
  forces: AdjusterReview['forces'],
  adjuster: Adjuster | undefined,
): Side | 'both' | undefined {
  const size = (side: Side): number => {
    const found = forces[side];
    if (found === undefined) return 0;
    const { effect } = levelsOfSweep(openedSweep(sweep.positions, found, adjuster?.countsFrom ?? 'closed'), 'equal');
    return effect.reduce((sum, w) => sum + Math.abs(w), 0);
  };
  const [c, r] = [size('compression'), size('rebound')];
  if (c === 0 && r === 0) return undefined;
  if (Math.min(c, r) > MOVES_TOO * Math.max(c, r)) return 'both';
  return c > r ? 'compression' : 'rebound';
}

import { levelsOfSweep } from '../../analysis/adjusters/sweep';
import type { Side } from '../../analysis/side';
import type { Adjuster } from '../../files/spec';
import type { ForcesOfSweep } from './forcesOfSweep';
import { openedSweep } from './openedSweep';
import type { SettingSweep } from './settingSweeps';

/** A side that moves by more than this share of the other one moves too, where the spec does not say on which side an adjuster acts. */
const MOVES_TOO = 0.5;

/** The side that the sweep moves, where the spec does not say. */
export function movingSide(
  sweep: SettingSweep,
  forces: ForcesOfSweep,
  adjuster: Adjuster | undefined,
): Side | 'both' | undefined {
  const size = (side: Side): number => {
    const found = forces.of(side);
    if (found === undefined) return 0;
    const { effect } = levelsOfSweep(openedSweep(sweep.positions, found, adjuster?.countsFrom ?? 'closed'), 'equal');
    return effect.reduce((sum, w) => sum + Math.abs(w), 0);
  };
  const [c, r] = [size('compression'), size('rebound')];
  if (c === 0 && r === 0) return undefined;
  if (Math.min(c, r) > MOVES_TOO * Math.max(c, r)) return 'both';
  return c > r ? 'compression' : 'rebound';
}

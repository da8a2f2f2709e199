import { crossTalk } from '../../analysis/adjusters/crossTalk';
import type { AdjusterSweep } from '../../analysis/adjusters/sweep';
import type { Adjuster } from '../../files/spec';
import type { CrossTalkOfSweep } from './adjusterReview';
import type { ForcesOfSweep } from './forcesOfSweep';
import { openedSweep } from './openedSweep';
import type { SettingSweep } from './settingSweeps';
import type { SideForces } from './sweepForces';

const COVERAGE = 2;

/** Cross-talk counts beyond its own uncertainty and beyond what noise alone shows; only against a limit of the spec. */
export function crossTalkOfSweep(
  sweep: SettingSweep,
  forces: ForcesOfSweep,
  adjuster: Adjuster | undefined,
): CrossTalkOfSweep | undefined {
  const acts = adjuster?.acts;
  if (acts === undefined || acts.side === 'both') return undefined;
  const own = forces.of(acts.side);
  const across = forces.of(acts.side === 'compression' ? 'rebound' : 'compression');
  if (own === undefined || across === undefined) return undefined;
  const opened = (side: SideForces): AdjusterSweep => openedSweep(sweep.positions, side, adjuster!.countsFrom);
  const found = crossTalk(opened(own), opened(across));
  if (found === undefined) return undefined;
  const { share, u, floor } = found;
  const limit = acts.crossLimit;
  const known = Number.isFinite(u);
  return {
    share,
    ...(known && { U: COVERAGE * u }),
    over: limit !== undefined && known && share - floor - COVERAGE * u > limit,
  };
}

import { reachOfAdjuster, type Reach } from '../../analysis/adjusters/reach';
import { levelsOfSweep, type AdjusterSweep } from '../../analysis/adjusters/sweep';
import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { Adjuster } from '../../files/spec';
import type { CrossTalkOfSweep, SideEffect, SweepShown } from './adjusterReview';
import { crossTalkOfSweep } from './crossTalkOfSweep';
import { energiesOfSweep, type StepEnergies } from './energiesOfSweep';
import type { ForcesOfSweep } from './forcesOfSweep';
import { openedSweep } from './openedSweep';
import type { SettingSweep } from './settingSweeps';
import type { SideForces } from './sweepForces';

interface DetailsOf {
  readonly sweep: SettingSweep;
  readonly forces: ForcesOfSweep;
  readonly adjuster: Adjuster | undefined;
  readonly countsFrom: 'closed' | 'open';
  /** The side that it acts on, as it really opens. */
  readonly opened: AdjusterSweep;
  /** False where its position moves nothing. */
  readonly moves: boolean;
}

type Made<Value> = { readonly is: Value } | undefined;

/** Each is found when it is first asked for: all of them were half of looking through a sweep, and a verdict needs none. */
export class SweepDetails implements SweepShown {
  #forces: Readonly<Partial<Record<Side, SideForces>>> | undefined;
  #effects: Readonly<Partial<Record<Side, SideEffect>>> | undefined;
  #energies: Made<StepEnergies | undefined>;
  #reach: Made<Reach | undefined>;
  #crossTalk: Made<CrossTalkOfSweep | undefined>;

  constructor(private readonly of: DetailsOf) {}

  get forces(): Readonly<Partial<Record<Side, SideForces>>> {
    return (this.#forces ??= this.of.forces.bySide);
  }

  get effects(): Readonly<Partial<Record<Side, SideEffect>>> {
    return (this.#effects ??= effectsOf(this.of.sweep, this.forces, this.of.countsFrom));
  }

  get energies(): StepEnergies | undefined {
    const { sweep, forces } = this.of;
    return (this.#energies ??= { is: energiesOfSweep(sweep, forces.shared('compression')) }).is;
  }

  get reach(): Reach | undefined {
    const { moves, opened } = this.of;
    return (this.#reach ??= { is: moves ? reachOfAdjuster(opened) : undefined }).is;
  }

  get crossTalk(): CrossTalkOfSweep | undefined {
    const { moves, sweep, forces, adjuster } = this.of;
    return (this.#crossTalk ??= { is: moves ? crossTalkOfSweep(sweep, forces, adjuster) : undefined }).is;
  }
}

function effectsOf(
  sweep: SettingSweep,
  forces: SweepShown['forces'],
  countsFrom: 'closed' | 'open',
): Partial<Record<Side, SideEffect>> {
  const effects: Partial<Record<Side, SideEffect>> = {};
  for (const side of SIDES) {
    const found = forces[side];
    if (found === undefined) continue;
    const { effect, effectU } = levelsOfSweep(openedSweep(sweep.positions, found, countsFrom), 'equal');
    effects[side] = { speeds: found.speeds, perUnit: effect, ...(found.u !== undefined && { u: effectU }) };
  }
  return effects;
}

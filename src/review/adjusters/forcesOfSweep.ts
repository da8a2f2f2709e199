import type { Side } from '../../analysis/side';
import { SIDES } from '../../analysis/side';
import type { ForceTable } from '../../files/forceTable';
import type { SweepShown } from './adjusterReview';
import type { SettingSweep } from './settingSweeps';
import { bothSides, sharedRows, sideForces, type SharedRows, type SideForces } from './sweepForces';

type OfSides<Value> = Partial<Record<Side, { readonly is: Value }>>;

/** What a table has of a sweep, each side read when it is first asked for: a verdict needs the side alone that an adjuster acts on. */
export class ForcesOfSweep {
  readonly #shared: OfSides<SharedRows> = {};
  readonly #forces: OfSides<SideForces | undefined> = {};

  constructor(
    private readonly table: ForceTable,
    private readonly sweep: SettingSweep,
  ) {}

  /** Rows at the speeds that the positions share. */
  shared(side: Side): SharedRows {
    return (this.#shared[side] ??= { is: sharedRows(this.sweep, side) }).is;
  }

  of(side: Side | 'both'): SideForces | undefined {
    if (side !== 'both')
      return (this.#forces[side] ??= { is: sideForces(this.table, this.sweep, side, this.shared(side)) }).is;
    const compression = this.of('compression');
    const rebound = this.of('rebound');
    return compression && rebound && bothSides(compression, rebound);
  }

  get bySide(): SweepShown['forces'] {
    const forces: Partial<Record<Side, SideForces>> = {};
    for (const side of SIDES) {
      const found = this.of(side);
      if (found !== undefined) forces[side] = found;
    }
    return forces;
  }
}

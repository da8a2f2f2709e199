import type { AdjusterSweep } from '../../analysis/adjusters/sweep';
import type { Side } from '../../analysis/side';
import type { ForceTable } from '../../files/forceTable';
import { ForcesOfSweep } from './forcesOfSweep';
import { openedSweep } from './openedSweep';
import { settingSweeps, type SettingSweep } from './settingSweeps';

/** How a sweep of a result is read, which its reference is to be read alike. */
interface Reading {
  readonly side: Side | 'both';
  readonly direction: 'closed' | 'open';
  /** Speeds that the result's own sweep has. */
  readonly speeds: number;
}

/** The reference's own sweep over the same positions and speeds with the other adjusters held alike; undefined where it has none. */
export function referenceSweep(
  reference: ForceTable | undefined,
  sweep: SettingSweep,
  { side, direction, speeds }: Reading,
): AdjusterSweep | undefined {
  const like = reference && sweepLike(reference, sweep);
  if (like === undefined) return undefined;
  const way = `${side} ${direction}`;
  let opened = like.opened.get(way);
  if (opened === undefined) {
    const forces = like.forces.of(side);
    opened = { sweep: forces && openedSweep(sweep.positions, forces, direction) };
    like.opened.set(way, opened);
  }
  return opened.sweep === undefined || opened.sweep.speeds.length * 2 < speeds ? undefined : opened.sweep;
}

/** A reference at the positions of a sweep, with what was read of it so far. */
interface SweepOfReference {
  readonly forces: ForcesOfSweep;
  readonly opened: Map<string, { readonly sweep: AdjusterSweep | undefined }>;
}

/** Hundreds of results are held against one reference, over the same positions nearly all of them. */
const known = new WeakMap<ForceTable, Map<string, SweepOfReference | undefined>>();
/** Results that each sweep positions of their own must not pile up. */
const MOST_KNOWN = 50;

function sweepLike(reference: ForceTable, sweep: SettingSweep): SweepOfReference | undefined {
  let ofReference = known.get(reference);
  if (ofReference === undefined) known.set(reference, (ofReference = new Map<string, SweepOfReference | undefined>()));
  const key = JSON.stringify([sweep.id, sweep.positions, sweep.held]);
  if (!ofReference.has(key)) {
    if (ofReference.size >= MOST_KNOWN) ofReference.clear();
    ofReference.set(key, findSweep(reference, sweep));
  }
  return ofReference.get(key);
}

function findSweep(reference: ForceTable, sweep: SettingSweep): SweepOfReference | undefined {
  const like = settingSweeps(reference).filter(
    ({ id, positions }) => id === sweep.id && sweep.positions.every((position) => positions.includes(position)),
  );
  const same = like.find(({ held }) => Object.entries(held).every(([id, at]) => sweep.held[id] === at)) ?? like[0];
  if (same === undefined) return undefined;
  const at = sweep.positions.map((position) => same.positions.indexOf(position));
  const only = {
    ...same,
    positions: sweep.positions,
    settings: at.map((i) => same.settings[i]!),
    rows: at.map((i) => same.rows[i]!),
  };
  return { forces: new ForcesOfSweep(reference, only), opened: new Map() };
}

import type { AdjusterSweep } from '../../analysis/adjusters/sweep';
import type { Side } from '../../analysis/side';
import type { JudgeInput } from '../judgeInput';
import { forcesOf, forcesOfSide } from './actingSide';
import { openedSweep } from './openedSweep';
import { settingSweeps, type SettingSweep } from './settingSweeps';

/** The reference's own sweep over the same positions and speeds with the other adjusters held alike; undefined where it has none. */
export function referenceSweep(
  input: JudgeInput,
  sweep: SettingSweep,
  side: Side | 'both',
  direction: 'closed' | 'open',
  speeds: readonly number[],
): AdjusterSweep | undefined {
  if (input.reference === undefined) return undefined;
  const { reference } = input;
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
  const forces = forcesOfSide(forcesOf(reference, only), side);
  if (forces === undefined || forces.speeds.length * 2 < speeds.length) return undefined;
  return openedSweep(only.positions, forces, direction);
}

import { levelsOfSweep } from './sweep';
import type { AdjusterSweep } from './sweep';

export interface CrossTalk {
  /** Sum over the speeds of |dD/dunit| on the other side over that of its own. */
  readonly share: number;
  /** Standard uncertainty of the share; NaN where the sweeps state none. */
  readonly u: number;
  /** What noise alone would show as a share, as absolute values never cancel: 0.8 standard uncertainties a speed. */
  readonly floor: number;
}

/** Mean of the absolute value of a standard normal variable, sqrt(2 / pi). */
const MEAN_ABSOLUTE = Math.sqrt(2 / Math.PI);

/**
 * How much an adjuster moves the other side of the damper, over its effect on its own: slopes of damping force on position, so that each
 * setting speaks once and scatter averages out.
 *
 * @returns undefined where its own side does not move at all.
 */
export function crossTalk(own: AdjusterSweep, other: AdjusterSweep): CrossTalk | undefined {
  const mine = levelsOfSweep(own, 'equal');
  const theirs = levelsOfSweep(other, 'equal');
  const size = sumOf(mine.effect.map(Math.abs));
  if (!(size > 0)) return undefined;
  const share = sumOf(theirs.effect.map(Math.abs)) / size;
  const u = Math.hypot(...theirs.effectU, ...mine.effectU.map((one) => share * one)) / size;
  return { share, u, floor: (MEAN_ABSOLUTE * sumOf(theirs.effectU)) / size };
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

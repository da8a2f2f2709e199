import type { SideShape } from '../analysis/shape/sideShape';
import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';

/** Rebound over compression damping at one planned speed, both as magnitudes. */
export interface SideRatio {
  /** Planned speed where one is near, else the achieved one [m/s]. */
  readonly velocity: number;
  readonly ratio: number;
  /** Expanded uncertainty, the two sides' parts added up: what they share, the constant force, moves them apart. */
  readonly U?: number;
  /** The same of the reference at the achieved speeds. */
  readonly reference?: number;
}

/** Shape of both sides at one setting of a result, and of its reference at the same speeds. */
export interface ResultShape {
  readonly setting: Setting;
  /** Absent where the side has no point. */
  readonly compression: SideShape | undefined;
  readonly rebound: SideShape | undefined;
  readonly reference: Readonly<Record<Side, SideShape | undefined>>;
  /** Kind of compression over kind of rebound, as a piston is named: `digressive/linear`. Absent where a kind is undecided. */
  readonly piston: string | undefined;
  readonly ratios: readonly SideRatio[];
}

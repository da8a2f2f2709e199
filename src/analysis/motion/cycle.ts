import type { Side } from '../side';

/**
 * The part of the log that is in memory while a cycle is looked at. Valid only during the call that hands it over: the arrays are
 * used again for later samples, and are longer than what they hold. SI, positive in compression.
 */
export interface SampleWindow {
  /** Row of the log that stands at index 0. */
  readonly firstRow: number;
  readonly time: Float64Array;
  readonly displacement: Float64Array;
  readonly force: Float64Array;
  /** Filled from `Cycle.from` to `Cycle.to` only: the logged velocity where it agrees with the motion, else the derivative of displacement. */
  readonly velocity: Float64Array;
  readonly temperature?: Float64Array;
}

/**
 * One stroke, turning point to turning point. Indices are positions in the arrays of the cycle's SampleWindow.
 * A rest at a turning point is no part of the stroke: `startTime` and `endTime` are extrapolated from the moving part.
 */
export interface Stroke {
  readonly side: Side;
  /** Samples at the turning points; `lastIndex` of a stroke is `firstIndex` of the one after it where both are of one segment. */
  readonly firstIndex: number;
  readonly lastIndex: number;
  /** Displacement at `firstIndex` and `lastIndex` [m]. */
  readonly x0: number;
  readonly x1: number;
  /** Times at 10, 50 and 90 % of the travel from x0 to x1, between samples [s]. */
  readonly t10: number;
  readonly t50: number;
  readonly t90: number;
  /** True ends of the motion [s]: t10 and t90 extended by the drive's own turn. */
  readonly startTime: number;
  readonly endTime: number;
  /** Samples with startTime <= time < endTime: from `from` up to, not including, `to`. */
  readonly from: number;
  readonly to: number;
  /** Unsigned peak speed [m/s] and its time [s], from a cubic through the displacement of the middle of the travel. */
  readonly peakSpeed: number;
  readonly peakTime: number;
  /** Constant speed over the middle of the stroke (triangle drive): `phaseRate` is then 0 and `peakTime` mid-travel. */
  readonly plateau: boolean;
  /** Angular frequency of the sine that the middle of the stroke follows [rad/s]; phase from peak speed is phaseRate x (t - peakTime). */
  readonly phaseRate: number;
}

/** A compression stroke and the rebound stroke after it, complete. */
export interface Cycle {
  readonly samples: SampleWindow;
  readonly compression: Stroke;
  readonly rebound: Stroke;
  /** Strokes that touch this cycle without a rest or gap between, for the corner of a triangle drive. */
  readonly previous?: Stroke;
  readonly next?: Stroke;
  /** The cycle's samples, minimum to minimum: compression.firstIndex, and one past rebound.lastIndex. */
  readonly from: number;
  readonly to: number;
  /** Samples of the same segment (no time gap between) that may be read around the cycle: from `marginFrom` up to, not including, `marginTo`. */
  readonly marginFrom: number;
  readonly marginTo: number;
  /** Mean sample interval in this cycle [s]. */
  readonly sampleInterval: number;
  /** compression.startTime and rebound.endTime [s]. */
  readonly startTime: number;
  readonly endTime: number;
  /** Half the travel between turning points, mean of both strokes [m]. */
  readonly amplitude: number;
  /** Displacement of mid-stroke, mean of both strokes [m]. */
  readonly middle: number;
  /** Mean of both strokes' peak speeds [m/s]. */
  readonly peakSpeed: number;
}

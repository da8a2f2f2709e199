import type { Drive } from './side';

/**
 * What is kept of a test log once its samples have been read: small, plain and serialisable, so that it crosses a worker's
 * boundary and rests in the cache. All later analysis works on this, never on samples. SI throughout: m, m/s, N, J, s, K;
 * displacement, velocity and force positive in compression.
 */
export interface ReducedLog {
  readonly rows: number;
  /** From the first to the last sample [s]. */
  readonly duration: number;
  /** Median sample interval [s]. */
  readonly sampleInterval: number;
  /** Standard deviation of the white part of displacement [m] and force [N], from third differences. */
  readonly displacementNoise: number;
  readonly forceNoise: number;
  readonly displacementRange: readonly [number, number];
  readonly forceRange: readonly [number, number];
  /** Logged velocity against the derivative of displacement: scale (1 = equal), lag [s] (positive = logged is late). Absent where no velocity is logged. */
  readonly velocityCheck?: { readonly scale: number; readonly lag: number };
  readonly steps: readonly ReducedStep[];
  readonly events: readonly LogEvent[];
}

/** Things noticed while the samples went by. `row` counts data rows from 0. */
export type LogEvent =
  | { readonly kind: 'time-not-increasing'; readonly row: number; readonly time: number; readonly previous: number }
  | { readonly kind: 'gap-in-stroke'; readonly row: number; readonly duration: number }
  | { readonly kind: 'force-clipped'; readonly row: number; readonly value: number; readonly strokes: number }
  | { readonly kind: 'sign-suspect'; readonly row: number; readonly energy: number }
  | { readonly kind: 'no-step'; readonly row: number; readonly strokes: number; readonly cycles: number };

/** Consecutive cycles at one peak velocity and setting. Means are over the used cycles: the first is left out as settling where at least two more remain. */
export interface ReducedStep {
  /** One value per adjuster column of the log; empty where the setting stands in the preamble. */
  readonly setting: readonly number[];
  readonly firstRow: number;
  readonly lastRow: number;
  readonly startTime: number;
  readonly endTime: number;
  readonly drive: Drive;
  /** [Hz], from like mid-stroke crossings. */
  readonly frequency: number;
  /** Half the travel between turning points [m]. */
  readonly amplitude: number;
  /** Mean displacement of mid-stroke in the log's own coordinate [m]. */
  readonly middle: number;
  readonly cyclesFound: number;
  readonly cyclesUsed: number;
  readonly temperature?: { readonly first: number; readonly last: number; readonly mean: number };
  readonly compression: StepSide;
  readonly rebound: StepSide;
  /** Every cycle found, in order, settling ones included; entry i of each array is one cycle. */
  readonly cycles: CycleSeries;
  /** Median energy over the used cycles [J]; positive when the damper takes energy out. */
  readonly energy: number;
  readonly slow: SlowSamples;
}

export interface CycleSeries {
  /** Index of the first used cycle. */
  readonly firstUsed: number;
  readonly startTime: Float64Array;
  readonly compressionForce: Float64Array;
  readonly reboundForce: Float64Array;
  readonly compressionSpeed: Float64Array;
  readonly reboundSpeed: Float64Array;
  readonly energy: Float64Array;
  readonly temperature?: Float64Array;
}

/** One side (compression or rebound strokes) of a step. */
export interface StepSide {
  /** Median peak speed, unsigned [m/s]. */
  readonly peakSpeed: number;
  /** Mean over the used cycles of the force at peak speed, as the load cell read it [N]. */
  readonly force: number;
  /** Standard deviation between the used cycles [N]; 0 where only one is used. */
  readonly cycleSpread: number;
  /** Standard deviation between neighbouring used cycles, from their differences: the spread without a slow trend [N]; 0 where only one is used. */
  readonly cycleScatter: number;
  /** Mean over the used cycles of the local fit's own variance at peak speed [N^2]. */
  readonly fitVariance: number;
  /** Smallest number of samples in a fit window; under 9 is too slow a sampling. */
  readonly fitSamples: number;
  /** Largest acceleration of the motion [m/s^2]. */
  readonly peakAcceleration: number;
  /** Mean duration of the stroke from turning point to turning point [s]. */
  readonly strokeTime: number;
  /** Means on PHASE_BINS equal parts of the stroke's time, over used cycles. */
  readonly phase: PhaseBins;
  /** Means on TRAVEL_BINS equal parts of the stroke's travel, its accelerating half against the same stroke mirrored in time. */
  readonly travel: TravelBins;
  /** Force not explained by a local quadratic: mean square [N^2] and the number of samples behind it. */
  readonly roughness: { readonly meanSquare: number; readonly samples: number };
  /** Two-sided p-value of a slope of force on cycle number over the used cycles; NaN under three cycles. */
  readonly trendP: number;
}

export const PHASE_BINS = 64;
/** Over the whole travel; the mirrored comparison fills the first half of them. */
export const TRAVEL_BINS = 400;

/** `count` is the number of samples (0: the other entries are NaN). Displacement is relative to mid-stroke [m]; speed is unsigned [m/s]; force as read [N]. */
export interface PhaseBins {
  readonly count: Float64Array;
  readonly displacement: Float64Array;
  readonly speed: Float64Array;
  readonly force: Float64Array;
  /** Standard deviation of the bin's mean force from cycle to cycle [N]; NaN under two cycles. */
  readonly forceSpread?: Float64Array;
}
/**
 * Bin i holds travel from i/TRAVEL_BINS to (i+1)/TRAVEL_BINS of the stroke. Plain, and mirrored (same stroke, time reflected about peak speed). The first half
 * holds the accelerating part of the stroke and its mirror image, the second half the rest, plain only: the mirrored arrays are half as long.
 */
export interface TravelBins {
  readonly count: Float64Array;
  readonly displacement: Float64Array;
  readonly force: Float64Array;
  readonly mirroredDisplacement: Float64Array;
  readonly mirroredForce: Float64Array;
}

/**
 * Normal equations of F = gas(end) + sign x friction + slope(end, direction) v over the samples with 4 < |v| < 15 mm/s of the used cycles.
 * Unknowns in order: gas at the positive end, gas at the negative end, friction, slopes (+end,+v), (+end,-v), (-end,+v), (-end,-v).
 */
export interface SlowSamples {
  /** 7 x 7, row by row. */
  readonly normal: Float64Array;
  readonly right: Float64Array;
  readonly sumOfSquares: number;
  /**
   * Right side of the same equations for displacement from mid-stroke in place of force: solving it tells the displacements that the two
   * gas unknowns stand at, as the slopes reach out of the samples' own place to zero speed.
   */
  readonly displacementRight: Float64Array;
  /** Samples and mean displacement from mid-stroke [m] at the positive and the negative end. */
  readonly positive: { readonly samples: number; readonly displacement: number };
  readonly negative: { readonly samples: number; readonly displacement: number };
}

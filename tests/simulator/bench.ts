/** What the bench is told to do. SI units. */
export interface SimulatedPlan {
  readonly drive: 'sine' | 'triangle';
  readonly steps: readonly PlannedStep[];
  /** Mid-stroke of the test, as rod travel in from full extension [m]. */
  readonly midPosition: number;
  readonly dwell: Dwell;
  /** Where in its cycle the bench stands when the log begins, 0 to 1: 0 is the rod's outer turning point, 0.25 mid-stroke moving in. */
  readonly startPhase: number;
  /** Part of a cycle recorded after the last step, 0 to 1. */
  readonly trailingPhase: number;
}

export interface PlannedStep {
  /** Peak speed [m/s]. */
  readonly velocity: number;
  /** Between turning points [m]. */
  readonly stroke: number;
  readonly cycles: number;
  readonly setting: Readonly<Record<string, number>>;
  /** Instead of the plan's dwell: a pause before this step, not recorded, in which the damper cools and clicks may be set [s]. */
  readonly pauseBefore?: number;
}

/**
 * Between steps: `gap` records nothing for a while; `hold` records the rod at rest at its outer turning point; `none` goes straight
 * on; `ramp` changes speed over two recorded cycles. Only `gap` or a pause may stand between steps of different strokes.
 */
export interface Dwell {
  readonly mode: 'gap' | 'hold' | 'none' | 'ramp';
  /** [s]; not used by `none` and `ramp`. */
  readonly duration: number;
}

/** Sensors and recorder. SI units. */
export interface SimulatedBench {
  /** [Hz] */
  readonly sampleRate: number;
  /** Standard deviation of white noise on force [N]. */
  readonly forceNoise: number;
  /** Resolution of recorded force [N]; 0 records what is measured. */
  readonly forceStep: number;
  /** Constant error of the load cell's zero [N], and its drift from the log's first to last sample. */
  readonly forceZero: number;
  readonly forceDrift: number;
  /** Forces beyond this are recorded as this [N]. */
  readonly forceLimit?: number;
  /** Mass that moves between load cell and damper [kg]: the cell reads damper force + mass x acceleration on a sine drive. */
  readonly movingMass: number;
  /** Resolution of recorded displacement [m]; 0 records what is measured. */
  readonly displacementStep: number;
  /** Standard deviation of white noise on displacement [m]. */
  readonly displacementNoise: number;
  /** Recorded displacement at true mid-stroke [m]. */
  readonly displacementZero: number;
  /** Slow wandering of the displacement's zero over the log [m]. */
  readonly displacementDrift: number;
  /** Absent: no velocity channel. */
  readonly velocityChannel?: { readonly noise: number; readonly step: number };
  /** Resolution and noise of the temperature channel [K]. */
  readonly temperatureStep: number;
  readonly temperatureNoise: number;
}

/** A bench without any error of its own. */
export const PERFECT_BENCH: SimulatedBench = {
  sampleRate: 2000,
  forceNoise: 0,
  forceStep: 0,
  forceZero: 0,
  forceDrift: 0,
  movingMass: 0,
  displacementStep: 0,
  displacementNoise: 0,
  displacementZero: 0,
  displacementDrift: 0,
  temperatureStep: 0,
  temperatureNoise: 0,
};

/** How one complete run differs from another of the same build: remounting, clicks set again, another day. */
export interface RunScatter {
  /** Relative change of valve force. */
  readonly gain: number;
  /** Change of the load cell's zero [N]. */
  readonly zero: number;
  /** Change of the starting temperature [K]. */
  readonly temperature: number;
  /** Clicks by which every adjuster stands off for backlash. */
  readonly backlash: number;
}
export const NO_SCATTER: RunScatter = { gain: 0, zero: 0, temperature: 0, backlash: 0 };

/** Recorded displacement's zero at a share of the log's time: mostly straight, a little bowed, never beyond `drift`. */
export function displacementDriftAt(drift: number, share: number): number {
  return drift * (0.8 * share + 0.2 * Math.sin((Math.PI / 2) * share));
}

import type { Drive, Side } from './side';

/** What the analysis says of one run (one or more reduced logs of one serial, build and run). SI; signs as in reducedLog.ts. */
export interface RunAnalysis {
  readonly points: readonly MeasuredPoint[];
  readonly loops: readonly LoopMeasure[];
  readonly voids: readonly VoidMeasure[];
  readonly drops: readonly DropMeasure[];
  readonly roughness: readonly RoughnessMeasure[];
  readonly lags: readonly LagMeasure[];
  readonly gas: GasMeasure;
  readonly notSettled: readonly TrendMeasure[];
  /** Points whose local fit holds too few samples. */
  readonly tooSlow: readonly { readonly step: StepKey; readonly side: Side; readonly samples: number }[];
  /** What these logs cannot show, one sentence each, such as what a constant-speed drive is blind to. */
  readonly cannotShow?: readonly string[];
}

/** Names a step of the run: which log (index into the logs analysed) and which step of it. */
export interface StepKey {
  readonly log: number;
  readonly step: number;
}

/** Named part of a standard uncertainty. */
export interface UncertaintyPart {
  readonly name:
    'cycles' | 'method' | 'load cell' | 'displacement' | 'time skew' | 'gas' | 'temperature' | 'run to run';
  /** Standard uncertainty of damping force [N]. */
  readonly u: number;
  /** Degrees of freedom; Infinity for type B. */
  readonly df: number;
}
/** Expanded uncertainty of a damping force, 95 % (JCGM 100:2008, annex G). */
export interface Uncertainty {
  readonly U: number;
  readonly coverageFactor: number;
  readonly degreesOfFreedom: number;
  readonly parts: readonly UncertaintyPart[];
  /** False where the bench's data are missing: then U holds what the log alone can tell. */
  readonly benchIncluded: boolean;
}

export interface MeasuredPoint {
  readonly key: StepKey;
  readonly setting: readonly number[];
  /** 1 for the first time this setting and velocity are run; 2 and on for repeats, such as a sweep's closing one. */
  readonly pass: number;
  readonly side: Side;
  /** Achieved peak speed, unsigned [m/s]. */
  readonly speed: number;
  readonly cycles: number;
  /** Load cell's force [N]. */
  readonly force: number;
  /** Damping force: force less the constant force; NaN where none is known. */
  readonly damping: number;
  readonly uncertainty: Uncertainty;
  /** Temperature at the step [K]. */
  readonly temperature?: number;
}

export interface LoopMeasure {
  readonly key: StepKey;
  readonly setting: readonly number[];
  readonly pass: number;
  readonly speed: number;
  readonly drive: Drive;
  readonly frequency: number;
  readonly amplitude: number;
  readonly energy: number;
  /** Standard deviation of energy between used cycles [J]. */
  readonly energySpread: number;
  /** E / closed integral of v^2 dt [N s/m]. */
  readonly equivalentDamping: number;
  readonly meanPower: number;
  /** Percent; absent where the stroke cannot show it. */
  readonly symmetry: Readonly<Partial<Record<Side, number>>>;
  /** Mean loop in phase order through compression, then rebound: displacement from mid-stroke [m], force [N], signed velocity [m/s]. */
  readonly curve: {
    readonly displacement: Float64Array;
    readonly force: Float64Array;
    readonly velocity: Float64Array;
    /** Standard deviation of force from cycle to cycle [N]; NaN where one cycle is used. */
    readonly spread?: Float64Array;
  };
}

export interface VoidMeasure {
  readonly setting: readonly number[];
  readonly side: Side;
  readonly length: number;
  readonly lagCorrected: boolean;
  /** Step that shows it best. */
  readonly key: StepKey;
  /** Where force stays during the void: at gas level (inside the damper), at zero (mounting or rod end), or undecided. */
  readonly at: 'gas level' | 'zero' | 'undecided';
  readonly steps: number;
}
export interface DropMeasure {
  readonly setting: readonly number[];
  readonly side: Side;
  readonly share: number;
  /** Displacement from mid-stroke and width [m]. */
  readonly displacement: number;
  readonly width: number;
  readonly key: StepKey;
}
export interface RoughnessMeasure {
  readonly key: StepKey;
  readonly setting: readonly number[];
  readonly side: Side;
  /** Unexplained force over the noise; healthy below 1.2. */
  readonly ratio: number;
  /** Places looked at; by chance alone the ratio scatters by about 1 / sqrt(samples). */
  readonly samples?: number;
  readonly amplitude: number;
}
export interface LagMeasure {
  readonly key: StepKey;
  readonly setting: readonly number[];
  readonly side: Side;
  /** [s]; absent where the step is too slow to tell it. */
  readonly lag?: number;
  /** Gap between accelerating and decelerating half at half peak speed, percent of damping at peak speed. */
  readonly hysteresis: number;
}

/** Force of one side that moves with the cycle number, by enough to matter. */
export interface TrendMeasure {
  readonly step: StepKey;
  readonly side: Side;
  /** Two-sided, of the slope of force on cycle number over the used cycles. */
  readonly pValue: number;
  /** Along the least-squares line from the first to the last used cycle, as the load cell reads force [N]. */
  readonly change: number;
}

/** The constant force of a run. Either a fit (gas and friction known) or only the mean of both sides, with the reason. */
export interface GasMeasure {
  readonly source: 'fit' | 'static' | 'none';
  /** Gas force at mid-stroke of the moving test, or the constant force where source is 'none' [N]; includes the load cell's zero. */
  readonly force: number;
  /** Standard uncertainty of force [N]. */
  readonly u: number;
  /** Slope of gas force over displacement [N/m]; absent where source is 'none'. */
  readonly rate?: number;
  /** Standard uncertainty of the slope [N/m]. */
  readonly rateU?: number;
  readonly friction?: number;
  readonly frictionU?: number;
  /** Mean temperature of the steps it was taken at [K]. */
  readonly temperature?: number;
  /** Why gas and friction are absent, or what keeps a static log's gas from being carried to the moving test. */
  readonly reason?: string;
  /** Gas at the start and end of the log where both could be taken. */
  readonly change?: number;
}

/** Expanded uncertainties (k = 2) of the bench, SI; absent ones are not included. */
export interface BenchUncertainty {
  readonly loadCellU?: number;
  readonly loadCellRelativeU?: number;
  readonly displacementU?: number;
  readonly skewU?: number;
  /** Mass between load cell and damper [kg], removed with its sign. */
  readonly movingMass?: number;
}

/**
 * Intermediate precision between complete runs with remounting and clicks set again (s_run, ISO 5725-3), a share of damping force, with
 * the degrees of freedom of the repeats behind it.
 */
export type RunToRunSpread = Readonly<Partial<Record<Side, { readonly relative: number; readonly df: number }>>>;

/** What the spec knows of the damper's inside, SI. */
export interface DamperHardware {
  readonly rodArea?: number;
  readonly pistonArea?: number;
  /** Gauge pressure at full extension and 20 C [Pa]. */
  readonly gasPressure?: number;
  readonly gasVolume?: number;
  readonly stroke?: number;
  readonly gas?: 'none';
  readonly rod?: 'single' | 'through';
  readonly baseValve?: boolean;
}

import type { Side } from '../analysis/side';
import type { RunAnalysis } from '../analysis/runAnalysis';
import type { ForceTable } from '../files/forceTable';
import type { Setting, Spec } from '../files/spec';
import type { BuildChange, Comparison } from './comparison';
import type { AdjustersReview } from './adjusters/adjusterReview';
import type { Correction } from './correction';
import type { Finding } from './finding';
import type { Normalisation, NormalisedForce } from './normalisation';
import type { RunToRun } from './runToRun';
import type { ResultShape } from './resultShape';

export type Verdict = 'pass' | 'fail' | 'undecided';

/** What keeps a point undecided. `tolerance`: the spec gives none for its side, so that it is not judged and does not count. */
export type UndecidedCause =
  | 'spec'
  | 'setting'
  | 'reference'
  | 'constant force'
  | 'basis'
  | 'temperature'
  | 'range'
  | 'tolerance'
  | 'uncertainty'
  | 'guard band';

/** One measured point held against the reference. Forces in N, speeds in m/s; drift is positive where the force is more positive. */
export interface JudgedPoint {
  /** Index of the row of the measured table. */
  readonly row: number;
  readonly setting: Setting;
  readonly pass: number;
  readonly side: Side;
  /** Planned speed where one is near, else the achieved one. */
  readonly velocity: number;
  readonly achieved: number;
  readonly cycles: number;
  /** Load cell's force. */
  readonly force: number;
  readonly damping?: number;
  /** Expanded uncertainty of damping force, 95 %, with the scatter of complete runs where repeats show it. */
  readonly uncertainty: number;
  /** The part of it that repeats show: standard uncertainty [N] and its degrees of freedom. It does not part two points of one run. */
  readonly runToRun?: { readonly u: number; readonly df: number };
  /** Damping force at the reference's temperature: what the drift is of, where the spec asks for it. */
  readonly normalised?: NormalisedForce;
  /** The most compression damping [N] that gas pressure holds, where the spec says that no base or reservoir valve helps. */
  readonly ceiling?: number;
  readonly coverageFactor: number;
  readonly degreesOfFreedom: number;
  /** Damping force of the reference at the achieved speed. */
  readonly reference?: number;
  readonly tolerance?: number;
  /** Limits of drift on either side of the reference [N]; the drift's own side is `tolerance`. For drawing the band. */
  readonly zone?: { readonly softer?: number; readonly harder?: number };
  readonly drift?: number;
  /** Fraction of |reference|; absent near zero, where a percentage misleads. */
  readonly relativeDrift?: number;
  /** |drift| / tolerance. */
  readonly share?: number;
  /** Expanded uncertainty of the drift: that of the point, with what reading beyond the reference's end adds. */
  readonly driftUncertainty?: number;
  /** Used cycles that would settle an undecided point; absent where cycles cannot, or where it is not known. */
  readonly cyclesToSettle?: number;
  readonly direction?: 'harder' | 'softer';
  readonly verdict: Verdict;
  /** Why an undecided point is undecided, one sentence. */
  readonly reason?: string;
  readonly cause?: UndecidedCause;
  readonly temperature?: number;
}

/** Maximal run of neighbouring velocities of one side whose worst verdict over the settings and sign of drift are the same. */
export interface DriftBand {
  readonly side: Side;
  readonly from: number;
  readonly to: number;
  readonly verdict: Verdict;
  readonly direction?: 'harder' | 'softer';
  /** Index into `points` of the worst one. */
  readonly worst: number;
  /** Those of the band's own verdict, by velocity. */
  readonly points: readonly number[];
}

/** A result, or a log group reduced on the fly, with everything that terminal, report, editor and chart show of it. */
export interface JudgedResult {
  /** The result file, or the first log where no result is committed. */
  readonly file: string;
  /** Logs behind it, as far as they are known. */
  readonly logs: readonly string[];
  readonly spec?: Spec;
  readonly specId: string;
  readonly serial: string;
  readonly build: string;
  readonly table: ForceTable;
  readonly reference?: ForceTable;
  readonly analysis?: RunAnalysis;
  readonly points: readonly JudgedPoint[];
  readonly bands: readonly DriftBand[];
  /** Index into `points` of the worst one that has a share of tolerance: by verdict, then by share. */
  readonly worst?: number;
  readonly missing: readonly { readonly setting: Setting; readonly velocity: number }[];
  readonly verdict: Verdict;
  /** Why the whole is undecided or failed where no point says so. */
  readonly reasons: readonly string[];
  readonly gas?: {
    readonly force: number;
    readonly expected?: number;
    /** [N/m] */
    readonly rate?: number;
    readonly source: 'fit' | 'static' | 'none' | 'stated' | 'constant';
    readonly reason?: string;
  };
  readonly friction?: number;
  /** Shape of both sides at the delivery setting, or at the worst one; absent where no damping force is known. */
  readonly shape?: ResultShape;
  /** Sweeps of adjusters; absent where no adjuster was moved. */
  readonly adjusters?: AdjustersReview;
  /** How verdicts were reached, one sentence. */
  readonly decisionRule?: string;
  /** Ways of testing that test or reference do not state, so that they were not compared, in words. */
  readonly notCompared?: readonly string[];
  /** True where the expanded uncertainty holds the bench's part. */
  readonly benchIncluded: boolean;
  /** How damping was corrected for temperature, where the spec asks for it. */
  readonly normalisation?: Normalisation;
  /** Repeats whose scatter is in the uncertainty; absent where none are committed. */
  readonly runToRun?: RunToRun;
  /** The change since the build before, where both and repeats are there. */
  readonly change?: ChangeSinceBuild;
  /** Which test of this build this is, from 1, counted by its results and logs. */
  readonly attempt: number;
  readonly findings: readonly Finding[];
  /** What explains its drift, where one fails or is left undecided by it. Changes no verdict. */
  readonly correction?: Correction;
}

/** How a build stands to the one before it. */
export interface ChangeSinceBuild extends BuildChange {
  readonly since: { readonly build: string; readonly file: string };
  /** Mean relative difference of each side, signed as force. */
  readonly mean: Comparison['mean'];
}

/** The part of a finding that orders and counts need. */
export type ToldFinding = Pick<Finding, 'rule' | 'level' | 'file' | 'position' | 'message' | 'waived'>;

/** A finding that belongs to no result, with what a face tells of it. */
export interface FindingInPart extends ToldFinding {
  readonly part: unknown;
}

/** The part of a judged result that orders and counts need. */
export interface ToldResult {
  readonly file: string;
  readonly verdict: Verdict;
  readonly findings: readonly ToldFinding[];
}

/** Everything one `check` found, as whole results or as what a face tells of each. */
export interface Outcome<Result extends ToldResult, Found extends ToldFinding> {
  readonly method: number;
  readonly verdict: Verdict;
  /** Failures first, then undecided, then passes; by file within. */
  readonly results: readonly Result[];
  /** Findings of every file, those of the results included, worst first. */
  readonly findings: readonly Found[];
  /** True where a file could not be read: exit status 2. */
  readonly unreadable: boolean;
}

export type ReviewOutcome = Outcome<JudgedResult, Finding>;

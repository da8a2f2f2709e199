import type { Side } from '../analysis/side';
import { SIDE_SIGN } from '../analysis/side';
import { coverageFactorOf, freedomOfTwo, rootOfTwo } from '../analysis/uncertainty/expand';
import type { ForceRow, MeasuredRow } from '../files/forceTable';
import type { Band, Setting, SideTolerance } from '../files/spec';
import type { ToleranceZone } from './decisionRule';
import { decideWithin } from './decisionRule';
import type { UndecidedCause, Verdict } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { normalisedForce, referenceTemperatureAt, type NormalisedForce } from './normalisation';
import type { Obstacle } from './obstacles';
import { outsideWindow } from './obstacles';
import type { DampingCurve } from './dampingCurve';
import type { SettingCurves } from './referenceCurves';
import { constantForceOf, speedOfRow } from './referenceCurves';
import { runToRunU } from './runToRun';

/** All that the points of a result rest on. */
export type PointInput = Pick<JudgeInput, 'table' | 'spec' | 'reference' | 'analysis' | 'normalisation' | 'runToRun'>;

/** Setting and reference of rows that share them. */
export interface RowPlace {
  readonly setting: Setting;
  /** Why no row there can be judged. */
  readonly problem: Obstacle | undefined;
  /** Absent where there is no reference. */
  readonly curves: SettingCurves | undefined;
}

/** Coverage factor for parts whose spread is known by their bounds. */
const BOUNDS_K = 2;

/**
 * One measured force held against the reference: the numbers that its verdict rests on, SI, signed as a point's. Each point is written over
 * the one before: a repository has a hundred thousand, nearly all of them pass, and of a pass nobody asks for its points.
 */
export class Weighing {
  side: Side = 'compression';
  /** [m/s] */
  achieved = NaN;
  /** NaN where the constant force is not known. */
  damping = NaN;
  /** Of the damping force; NaN where the test states none. */
  uncertainty = NaN;
  coverageFactor = NaN;
  degreesOfFreedom = NaN;
  /** Standard uncertainty of remounting that is in it; 0 where nothing was added. */
  remountingU = NaN;
  normalised: NormalisedForce | undefined = undefined;
  /** Whether the force was held against a reference at all; else what follows up to the verdict means nothing. */
  isHeld = false;
  /** Of the reference at the achieved speed; NaN where it is not known. */
  reference = NaN;
  extrapolationU = NaN;
  drift = NaN;
  driftUncertainty = NaN;
  /** Drift counted positive where the damper is harder. */
  hardening = NaN;
  /** Limits of it to either side; Infinity where the spec has none. */
  softer = NaN;
  harder = NaN;
  /** The limit that counts: of the drift's own direction, of no drift the smaller one. */
  tolerance = NaN;
  /** |drift| / tolerance; NaN without a tolerance above 0. */
  share = NaN;
  verdict: Verdict = 'undecided';
  cause: UndecidedCause | undefined = undefined;
  /** What keeps the whole result or setting undecided, where that is the cause. */
  obstacle: Obstacle | undefined = undefined;

  constructor(
    private readonly input: PointInput,
    /** What keeps every point undecided, if anything does. */
    private readonly forTheWhole: Obstacle | undefined,
  ) {}

  /** Weighs one side of a row. */
  weigh(row: ForceRow, side: Side, place: RowPlace): void {
    this.measure(row, side);
    this.isHeld = false;
    this.reference = NaN;
    this.normalised = undefined;
    this.verdict = 'undecided';
    this.cause = undefined;
    this.obstacle = undefined;
    this.share = NaN;
    const { forTheWhole } = this;
    const unknown = this.input.spec === undefined || place.curves === undefined || forTheWhole?.cause === 'setting';
    const before = unknown ? forTheWhole : place.problem;
    if (before !== undefined || place.curves === undefined) this.stop(before);
    else this.hold(row, place);
  }

  /** What the row itself says. */
  private measure(row: ForceRow, side: Side): void {
    const { table, runToRun } = this.input;
    const constant = constantForceOf(table, row);
    this.side = side;
    this.achieved = speedOfRow(row, side);
    this.damping = constant === undefined ? NaN : row[side] - constant;
    this.state(row.measured, side);
    this.remountingU = 0;
    const spread = runToRun?.spread[side];
    if (spread === undefined || Number.isNaN(this.uncertainty)) return;
    const added = runToRunU(spread, Number.isNaN(this.damping) ? undefined : this.damping);
    if (added !== 0) this.addRunToRun(added, spread.df);
  }

  private state(measured: MeasuredRow | undefined, side: Side): void {
    const compression = side === 'compression';
    if (measured === undefined) {
      this.uncertainty = NaN;
      this.coverageFactor = NaN;
      this.degreesOfFreedom = NaN;
      return;
    }
    this.uncertainty = compression ? measured.compressionU : measured.reboundU;
    this.coverageFactor = compression ? measured.compressionK : measured.reboundK;
    this.degreesOfFreedom = compression ? measured.compressionDf : measured.reboundDf;
  }

  /** A table holds what one run can know of itself; what another run of the same damper would give is put on top when it is judged. */
  private addRunToRun(added: number, addedDf: number): void {
    // A U of zero may be stated without a factor.
    const u = this.uncertainty === 0 ? 0 : this.uncertainty / this.coverageFactor;
    const df = Number.isNaN(this.degreesOfFreedom) ? Infinity : this.degreesOfFreedom;
    const freedom = freedomOfTwo(u, df, added, addedDf);
    const factor = coverageFactorOf(freedom);
    this.uncertainty = factor * rootOfTwo(u, added);
    this.coverageFactor = factor;
    this.degreesOfFreedom = freedom;
    this.remountingU = added;
  }

  private hold(row: ForceRow, { setting, curves }: RowPlace): void {
    const { input, achieved, side } = this;
    const curve = curves!.of(side);
    this.cause = this.wanting(curves!, curve);
    if (this.cause !== undefined) return;
    this.isHeld = true;
    this.reference = curve!.damping(achieved);
    this.extrapolationU = curve!.extrapolationU(achieved);
    if (input.normalisation !== undefined) this.normalise(row, setting);
    this.compare(input.spec?.tolerance[side]);
    if (this.forTheWhole === undefined) this.decide(row);
    else this.stop(this.forTheWhole);
  }

  /** What is not there to hold the force against, if anything. */
  private wanting(curves: SettingCurves, curve: DampingCurve | undefined): UndecidedCause | undefined {
    if (!curves.isGasKnown) return 'constant force';
    if (curve === undefined) return 'reference';
    if (Number.isNaN(this.damping)) return 'constant force';
    return curve.reaches(this.achieved) ? undefined : 'range';
  }

  private decide(row: ForceRow): void {
    const { softer, harder } = this;
    if (outsideWindow(this.input, row)) this.cause = 'temperature';
    else if (softer === Infinity && harder === Infinity) this.cause = 'tolerance';
    else if (Number.isNaN(this.uncertainty)) this.cause = 'uncertainty';
    else {
      this.verdict = decideWithin(this.hardening, this.driftUncertainty, softer, harder);
      if (this.verdict === 'undecided') this.cause = 'guard band';
    }
  }

  private normalise(row: ForceRow, setting: Setting): void {
    const { normalisation, reference } = this.input;
    const there = referenceTemperatureAt(reference!, setting, this.achieved);
    this.normalised = normalisedForce(normalisation, this.damping, row.temperature, there);
  }

  /** Drift, its uncertainty, and its share of the tolerance. */
  private compare(tolerance: SideTolerance | undefined): void {
    const { normalised, reference, uncertainty } = this;
    const drift = (normalised === undefined ? this.damping : normalised.damping) - reference;
    const hardening = SIDE_SIGN[this.side] * drift;
    const beyondEnd = BOUNDS_K * this.extrapolationU;
    const corrected = normalised === undefined ? 0 : BOUNDS_K * normalised.u;
    this.drift = drift;
    this.hardening = hardening;
    this.driftUncertainty =
      beyondEnd === 0 && corrected === 0 ? uncertainty : Math.hypot(uncertainty, beyondEnd, corrected);
    this.softer = widthOf(tolerance?.softer, reference);
    this.harder = widthOf(tolerance?.harder, reference);
    const own = hardening === 0 ? Math.min(this.softer, this.harder) : hardening > 0 ? this.harder : this.softer;
    this.tolerance = own;
    if (own > 0 && own !== Infinity) this.share = Math.abs(drift) / own;
  }

  private stop(obstacle: Obstacle | undefined): void {
    this.cause = obstacle?.cause;
    this.obstacle = obstacle;
  }
}

/** Limits of drift on both sides of a damping force [N]. */
export function zoneOf(tolerance: SideTolerance | undefined, reference: number): ToleranceZone {
  const softer = widthOf(tolerance?.softer, reference);
  const harder = widthOf(tolerance?.harder, reference);
  if (softer === Infinity) return harder === Infinity ? {} : { harder };
  return harder === Infinity ? { softer } : { softer, harder };
}

/** Limit of drift in one direction [N]; Infinity where none is given. */
function widthOf(band: Band | undefined, reference: number): number {
  if (band === undefined) return Infinity;
  const { relative, absolute } = band;
  if (relative === undefined) return absolute === undefined ? Infinity : Math.max(0, absolute);
  return Math.max(relative * Math.abs(reference), absolute ?? 0);
}

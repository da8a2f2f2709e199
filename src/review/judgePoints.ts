import type { Side } from '../analysis/side';
import { SIDES } from '../analysis/side';
import { bandsOf, isWorseVerdict, worseVerdict } from './bands';
import type { ForceRow, ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import type { BasisComparison } from './basis';
import { judgedPoint } from './judgedPoint';
import type { DriftBand, JudgedPoint, Verdict } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { settingProblem, wholeUndecided } from './obstacles';
import type { SettingRows } from './referenceCurves';
import { constantForceOf, curvesOf, rowsAt, settingKey, settingsOfTable } from './referenceCurves';
import type { ShapedPoint, ShapedPoints } from './shapedPoints';
import type { PointInput, RowPlace } from './weighing';
import { Weighing } from './weighing';

/** Holds every measured force against the reference. Rows with an empty cell give no point for that side. */
export function judgePoints(input: JudgeInput, basis: BasisComparison | undefined): JudgedPoints {
  // Named one by one: points may be asked for long after the rest of the input, with the samples of its logs, is of no more use.
  const { table, spec, reference, analysis, normalisation, runToRun } = input;
  const own: Draft = { table };
  if (spec !== undefined) own.spec = spec;
  if (reference !== undefined) own.reference = reference;
  if (analysis !== undefined) own.analysis = analysis;
  if (normalisation !== undefined) own.normalisation = normalisation;
  if (runToRun !== undefined) own.runToRun = runToRun;
  return new JudgedPoints(own, new Weighing(own, wholeUndecided(input, basis)));
}

type Draft = { -readonly [Key in keyof PointInput]: PointInput[Key] };

/**
 * The points of a result. What the whole needs of them is counted at once; the points themselves are made when somebody asks for them: of a
 * pass a line of text needs the worst one alone, and to make all of them took a third of judging over a repository.
 */
export class JudgedPoints implements ShapedPoints {
  /** How many there are, and how many of them the spec judges. */
  count = 0;
  judged = 0;
  /** The worst of those that are judged; a pass where none is. */
  verdict: Verdict = 'pass';
  /** Index of the worst point that has a share of tolerance, by verdict, then by share; -1 where none has. */
  worst = -1;
  /** The largest uncertainty of a judged drift over its tolerance; -Infinity where none has a tolerance above 0. */
  coarsest = -Infinity;
  /** Whether some point is undecided for want of a constant force, or of a reference at its setting. */
  lacksConstantForce = false;
  lacksReference = false;

  /** Setting of each row. */
  private readonly groups: readonly SettingRows[];
  private worstRow = 0;
  private worstSide: Side = 'compression';
  private worstVerdict: Verdict = 'pass';
  private worstShare = -Infinity;
  private group: SettingRows | undefined = undefined;
  private place: RowPlace = NOWHERE;
  private made: readonly JudgedPoint[] | undefined = undefined;
  private grouped: readonly DriftBand[] | undefined = undefined;

  constructor(
    private readonly input: PointInput,
    private readonly weighing: Weighing,
  ) {
    const { rows } = input.table;
    this.groups = settingsOfTable(input.table).ofRows;
    for (let i = 0; i < rows.length; i++) {
      if (this.weigh(i, 'compression')) this.tally(i);
      if (this.weigh(i, 'rebound')) this.tally(i);
    }
  }

  /** Compression before rebound of a row. */
  get points(): readonly JudgedPoint[] {
    if (this.made === undefined) {
      const points: JudgedPoint[] = [];
      for (let i = 0; i < this.input.table.rows.length; i++)
        for (const side of SIDES) if (this.weigh(i, side)) points.push(this.point(i));
      this.made = points;
    }
    return this.made;
  }

  get bands(): readonly DriftBand[] {
    return (this.grouped ??= bandsOf(this.points));
  }

  /** The one that `worst` names. */
  get worstPoint(): JudgedPoint | undefined {
    if (this.worst < 0) return undefined;
    if (this.made !== undefined) return this.made[this.worst];
    this.weigh(this.worstRow, this.worstSide);
    return this.point(this.worstRow);
  }

  get worstSetting(): Setting | undefined {
    return this.worst < 0 ? undefined : this.groups[this.worstRow]!.setting;
  }

  shapedSetting(wanted: Setting | undefined): Setting | undefined {
    const { table } = this.input;
    // Held against the names of the settings, which are at hand.
    const key = wanted && settingKey(wanted);
    let other: SettingRows | undefined;
    for (let i = 0; i < table.rows.length; i++) {
      const group = this.groups[i]!;
      if (group === other || !isShaped(table, table.rows[i]!)) continue;
      if (key === undefined || group.key === key) return group.setting;
      other = group;
    }
    return undefined;
  }

  eachAt(setting: Setting, show: (point: ShapedPoint) => void): void {
    const { table } = this.input;
    const group = rowsAt(table, setting);
    for (let i = 0; i < table.rows.length; i++) {
      if (this.groups[i] !== group || !isShaped(table, table.rows[i]!)) continue;
      if (this.weigh(i, 'compression')) show(this.weighing);
      if (this.weigh(i, 'rebound')) show(this.weighing);
    }
  }

  /** False where the row has no force of that side. */
  private weigh(index: number, side: Side): boolean {
    const { table } = this.input;
    const row = table.rows[index]!;
    if (Number.isNaN(row[side])) return false;
    const group = this.groups[index]!;
    if (group !== this.group) {
      this.group = group;
      this.place = placeOf(this.input, group);
    }
    this.weighing.weigh(row, side, this.place);
    return true;
  }

  private point(index: number): JudgedPoint {
    const { input, weighing, place } = this;
    return judgedPoint(weighing, input, { row: input.table.rows[index]!, index, place });
  }

  /** Counts the point that was weighed last. */
  private tally(row: number): void {
    const { cause, verdict, share, tolerance, driftUncertainty, isHeld, side } = this.weighing;
    const index = this.count;
    this.count += 1;
    if (cause === 'tolerance') return;
    this.judged += 1;
    if (verdict !== 'pass') {
      this.verdict = worseVerdict(this.verdict, verdict);
      if (cause === 'constant force') this.lacksConstantForce = true;
      if (cause === 'reference') this.lacksReference = true;
    }
    if (!isHeld) return;
    if (tolerance > 0 && tolerance !== Infinity && driftUncertainty / tolerance > this.coarsest)
      this.coarsest = driftUncertainty / tolerance;
    if (Number.isNaN(share)) return;
    const isWorse =
      this.worst < 0 ||
      (verdict === this.worstVerdict ? share > this.worstShare : isWorseVerdict(verdict, this.worstVerdict));
    if (!isWorse) return;
    this.worst = index;
    this.worstRow = row;
    this.worstSide = side;
    this.worstVerdict = verdict;
    this.worstShare = share;
  }
}

/** Whether a row may have a place in a curve: of the first pass, with a force whose damping is known. */
function isShaped(table: ForceTable, row: ForceRow): boolean {
  if (row.pass !== 1 || constantForceOf(table, row) === undefined) return false;
  return !Number.isNaN(row.compression) || !Number.isNaN(row.rebound);
}

const NOWHERE: RowPlace = { setting: {}, problem: undefined, curves: undefined };

/** Setting and reference of rows that share them. */
function placeOf(input: PointInput, { setting, key }: SettingRows): RowPlace {
  const curves = input.reference === undefined ? undefined : curvesOf(input.reference).atKey(key);
  return { setting, problem: settingProblem(input, setting), curves };
}

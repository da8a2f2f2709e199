import type { MeasuredPoint, RunToRunSpread } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import { expandTwo } from '../analysis/uncertainty/expand';
import type { ForceRow, MeasuredRow } from '../files/forceTable';
import type { Band, Setting, SideTolerance } from '../files/spec';
import type { BasisComparison } from './basis';
import { ceilingOfRow } from './ceilingOfRow';
import type { JudgedPart, Settling, ToleranceZone } from './decisionRule';
import { cyclesToSettle, decide, MOST_CYCLES } from './decisionRule';
import type { JudgedPoint } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import type { Obstacle } from './obstacles';
import { settingProblem, temperatureProblem, toleranceProblem, wholeUndecided } from './obstacles';
import { normalisedForce, referenceTemperatureAt, type NormalisedForce } from './normalisation';
import { pointOfRow } from './pointOfRow';
import type { ReferenceAnswer, ReferenceForce, SettingCurves, SettingRows } from './referenceCurves';
import { constantForceOf, curvesOf, settingsOfTable, speedOfRow } from './referenceCurves';
import { runToRunU } from './runToRun';
import { forceText, settingText, speedText } from './wording';

/** A point while it is judged; undecided until something decides it. */
type Draft = { -readonly [Key in keyof JudgedPoint]: JudgedPoint[Key] };

/** Coverage factor for parts whose spread is known by their bounds. */
const BOUNDS_K = 2;
const NO_SCATTER = { u: 0, df: Infinity };
/** Parts of the uncertainty as a sentence names them. */
const PART_WORDS: Readonly<Record<string, string>> = {
  cycles: 'scatter between cycles',
  method: 'reading the force at peak speed',
  'load cell': 'the load cell',
  displacement: 'the displacement channel',
  'time skew': 'the skew between channels',
  gas: 'the constant force',
  temperature: 'temperature',
  'run to run': 'remounting between runs',
  extrapolation: "reading beyond the reference's end",
  normalising: 'the correction for temperature',
};

/** Holds every measured force against the reference. Rows with an empty cell give no point for that side. */
export function judgePoints(input: JudgeInput, basis: BasisComparison | undefined): readonly JudgedPoint[] {
  const forTheWhole = wholeUndecided(input, basis);
  const { all, ofRows } = settingsOfTable(input.table);
  const places = new Map(all.map((group) => [group, placeOf(input, group)]));
  const points: JudgedPoint[] = [];
  input.table.rows.forEach((row, index) => {
    const place = places.get(ofRows[index]!)!;
    for (const side of SIDES) {
      if (Number.isNaN(row[side])) continue;
      const point = measuredDraft(input, row, index, side, place.setting);
      judgePoint(input, row, point, place, forTheWhole);
      points.push(point);
    }
  });
  return points;
}

interface RowSetting {
  readonly setting: Setting;
  readonly problem: Obstacle | undefined;
  /** Absent where there is no reference. */
  readonly reference: SettingCurves | undefined;
}

/** Setting and reference of rows that share them. */
function placeOf(input: JudgeInput, { setting, key }: SettingRows): RowSetting {
  const reference = input.reference === undefined ? undefined : curvesOf(input.reference).atKey(key);
  return { setting, problem: settingProblem(input, setting), reference };
}

function judgePoint(
  input: JudgeInput,
  row: ForceRow,
  point: Draft,
  { problem, reference }: RowSetting,
  forTheWhole: Obstacle | undefined,
): void {
  const unknown = input.spec === undefined || reference === undefined || forTheWhole?.cause === 'setting';
  const before = unknown ? forTheWhole : problem;
  if (before !== undefined || reference === undefined) {
    leaveUndecided(point, before);
    return;
  }
  const answer = reference.force(point.side, point.achieved);
  if (answer.kind !== 'known' || point.damping === undefined) {
    leaveUndecided(point, noReference(answer, point));
    return;
  }
  const normalised = normalisedPoint(input, row, point);
  if (normalised !== undefined) point.normalised = normalised;
  const damping = normalised?.damping ?? point.damping;
  const zone = holdAgainst(point, damping, answer.force, input.spec?.tolerance[point.side]);
  const obstacle = forTheWhole ?? temperatureProblem(input, row) ?? toleranceProblem(zone, point);
  if (obstacle !== undefined) {
    leaveUndecided(point, obstacle);
    return;
  }
  const hardening = SIDE_SIGN[point.side] * point.drift!;
  point.verdict = decide(hardening, point.driftUncertainty!, zone);
  if (point.verdict === 'undecided') explain(point, hardening, zone, pointOfRow(input, row, point.side), answer.force);
}

function normalisedPoint(input: JudgeInput, row: ForceRow, point: Draft): NormalisedForce | undefined {
  const { normalisation, reference } = input;
  if (normalisation === undefined || reference === undefined) return undefined;
  const there = referenceTemperatureAt(reference, point.setting, point.achieved);
  return normalisedForce(normalisation, point.damping!, row.temperature, there);
}

function measuredDraft(input: JudgeInput, row: ForceRow, index: number, side: Side, setting: Setting): Draft {
  const measured = row.measured ?? NOT_MEASURED;
  const compression = side === 'compression';
  const point: Draft = {
    row: index,
    setting,
    pass: row.pass,
    side,
    velocity: row.velocity,
    achieved: speedOfRow(row, side),
    cycles: measured.cycles,
    force: row[side],
    uncertainty: compression ? measured.compressionU : measured.reboundU,
    coverageFactor: compression ? measured.compressionK : measured.reboundK,
    degreesOfFreedom: compression ? measured.compressionDf : measured.reboundDf,
    verdict: 'undecided',
  };
  const constant = constantForceOf(input.table, row);
  if (constant !== undefined) point.damping = row[side] - constant;
  addRunToRun(point, input.runToRun?.spread[side]);
  if (row.temperature !== undefined) point.temperature = row.temperature;
  if (compression && input.spec?.hardware.baseValve === false) {
    const ceiling = ceilingOfRow(input.spec, input.table, row);
    if (ceiling !== undefined) point.ceiling = ceiling;
  }
  return point;
}

const NOT_MEASURED: MeasuredRow = {
  compressionVelocity: NaN,
  reboundVelocity: NaN,
  compressionU: NaN,
  reboundU: NaN,
  compressionK: NaN,
  reboundK: NaN,
  compressionDf: NaN,
  reboundDf: NaN,
  cycles: 0,
  energy: NaN,
};

/** A table holds what one run can know of itself; what another run of the same damper would give is put on top when it is judged. */
function addRunToRun(point: Draft, spread: RunToRunSpread[Side]): void {
  const added = runToRunU(spread, point.damping);
  if (spread === undefined || added === 0 || Number.isNaN(point.uncertainty)) return;
  // A U of zero may be stated without a factor.
  const u = point.uncertainty === 0 ? 0 : point.uncertainty / point.coverageFactor;
  const df = Number.isNaN(point.degreesOfFreedom) ? Infinity : point.degreesOfFreedom;
  const whole = expandTwo(u, df, added, spread.df);
  point.uncertainty = whole.U;
  point.coverageFactor = whole.coverageFactor;
  point.degreesOfFreedom = whole.degreesOfFreedom;
  point.runToRun = { u: added, df: spread.df };
}

function noReference(answer: ReferenceAnswer, point: Draft): Obstacle {
  if (answer.kind === 'no setting')
    return { cause: 'reference', reason: `The reference has no curve at ${settingText(point.setting)}.` };
  if (answer.kind === 'out of range' && point.damping !== undefined)
    return {
      cause: 'range',
      reason: `The reference runs from ${speedText(answer.from)} to ${speedText(answer.to)}; ${speedText(point.achieved)} lies too far outside.`,
    };
  const whose = point.damping === undefined ? 'test' : 'reference';
  return {
    cause: 'constant force',
    reason: `The constant force of the ${whose} is not known, so damping force is not either.`,
  };
}

/** Writes drift, tolerance and share into the point; returns the limits on both sides. */
function holdAgainst(
  point: Draft,
  damping: number,
  reference: ReferenceForce,
  tolerance: SideTolerance | undefined,
): ToleranceZone {
  const drift = damping - reference.damping;
  const hardening = SIDE_SIGN[point.side] * drift;
  const zone = zoneOf(tolerance, reference.damping);
  const beyondEnd = BOUNDS_K * reference.extrapolationU;
  const corrected = BOUNDS_K * (point.normalised?.u ?? 0);
  point.reference = reference.damping;
  point.drift = drift;
  point.driftUncertainty =
    beyondEnd === 0 && corrected === 0 ? point.uncertainty : Math.hypot(point.uncertainty, beyondEnd, corrected);
  point.zone = zone;
  const direction = hardening === 0 ? undefined : hardening > 0 ? 'harder' : 'softer';
  if (direction !== undefined) point.direction = direction;
  const own = direction === undefined ? smaller(zone.softer, zone.harder) : zone[direction];
  if (own !== undefined) point.tolerance = own;
  if (own !== undefined && own > 0) point.share = Math.abs(drift) / own;
  const relative = relativeOf(drift, reference.damping, direction === undefined ? undefined : tolerance?.[direction]);
  if (relative !== undefined) point.relativeDrift = relative;
  return zone;
}

/** What would settle a point inside the guard band. */
function explain(
  point: Draft,
  hardening: number,
  zone: ToleranceZone,
  measured: MeasuredPoint | undefined,
  reference: ReferenceForce,
): void {
  const parts = partsOf(measured, [
    { name: 'run to run', ...(point.runToRun ?? NO_SCATTER) },
    { name: 'extrapolation', u: reference.extrapolationU, df: Infinity },
    { name: 'normalising', u: point.normalised?.u ?? 0, df: Infinity },
  ]);
  const settling = parts === undefined ? undefined : cyclesToSettle(hardening, zone, parts, point.cycles);
  leaveUndecided(point, { cause: 'guard band', reason: guardBandReason(point, zone, settling) });
  if (settling?.kind === 'cycles') point.cyclesToSettle = settling.cycles;
}

/** Limits of drift on both sides of a damping force [N]. */
export function zoneOf(tolerance: SideTolerance | undefined, reference: number): ToleranceZone {
  const softer = widthOf(tolerance?.softer, reference);
  const harder = widthOf(tolerance?.harder, reference);
  // Written out, as it is made at every point and a spread of what may be absent takes longer than all the rest of it.
  if (softer !== undefined && harder !== undefined) return { softer, harder };
  if (softer !== undefined) return { softer };
  return harder === undefined ? {} : { harder };
}

function widthOf(band: Band | undefined, reference: number): number | undefined {
  if (band?.relative === undefined && band?.absolute === undefined) return undefined;
  return Math.max((band.relative ?? 0) * Math.abs(reference), band.absolute ?? 0);
}

/** A percentage misleads where the absolute limit is the wider one. */
function relativeOf(drift: number, reference: number, band: Band | undefined): number | undefined {
  const nearZero =
    band?.relative !== undefined && band.absolute !== undefined && Math.abs(reference) < band.absolute / band.relative;
  return nearZero || reference === 0 ? undefined : drift / Math.abs(reference);
}

function partsOf(measured: MeasuredPoint | undefined, added: readonly JudgedPart[]): readonly JudgedPart[] | undefined {
  return measured === undefined ? undefined : [...measured.uncertainty.parts, ...added.filter((part) => part.u > 0)];
}

function guardBandReason(point: Draft, zone: ToleranceZone, settling: Settling | undefined): string {
  const { drift, driftUncertainty } = point;
  const start = `Drift ${forceText(Math.abs(drift!))} with U ${forceText(driftUncertainty!)} is neither safely inside nor safely outside ${limitText(point, zone)}`;
  if (settling === undefined) return `${start}; what would settle it cannot be said without the log.`;
  if (settling.kind === 'cycles')
    return `${start}; ${settling.cycles} cycles in this step would settle it if its mean stays.`;
  if (settling.kind === 'too many') return `${start}; even ${MOST_CYCLES} cycles would not settle it.`;
  const largest = PART_WORDS[settling.largest] ?? settling.largest;
  return `${start}; more cycles cannot settle this; the largest part is ${largest}.`;
}

/** The limit that the interval of drift +- U crosses: of the drift's own direction, or where limits differ of the other one. */
function limitText({ tolerance, drift, driftUncertainty, direction }: Draft, zone: ToleranceZone): string {
  const crossesOwn = tolerance !== undefined && Math.abs(drift!) + driftUncertainty! > tolerance;
  if (crossesOwn || direction === undefined) return `the tolerance of ${forceText(tolerance ?? NaN)}`;
  const other = direction === 'harder' ? 'softer' : 'harder';
  return `the tolerance of ${forceText(zone[other] ?? NaN)} ${other}`;
}

function leaveUndecided(point: Draft, obstacle: Obstacle | undefined): void {
  point.verdict = 'undecided';
  if (obstacle === undefined) return;
  point.cause = obstacle.cause;
  point.reason = obstacle.reason;
}

function smaller(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.min(a, b);
}

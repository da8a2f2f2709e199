import type { MeasuredPoint } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import { SIDE_SIGN, SIDES } from '../analysis/side';
import type { ForceRow } from '../files/forceTable';
import type { Band, Setting, SideTolerance } from '../files/spec';
import type { BasisComparison } from './basis';
import { BASIS_WORDS } from './basis';
import type { JudgedPart, Settling, ToleranceZone } from './decisionRule';
import { cyclesToSettle, decide, MOST_CYCLES } from './decisionRule';
import type { JudgedPoint, UndecidedCause } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { pointOfRow } from './pointOfRow';
import type { ReferenceForce, SettingCurves } from './referenceCurves';
import { adjusterDifferences, constantForceOf, curvesOf, settingOfRow, speedOfRow } from './referenceCurves';
import { forceText, listText, percentText, settingText, speedText, temperatureText } from './wording';

/** A point without its verdict. */
type BarePoint = Omit<JudgedPoint, 'verdict'>;
interface Undecided {
  readonly cause: UndecidedCause;
  readonly reason: string;
}

/** Coverage factor for parts whose spread is known by their bounds. */
const BOUNDS_K = 2;
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
};

/** Holds every measured force against the reference. Rows with an empty cell give no point for that side. */
export function judgePoints(input: JudgeInput, basis: BasisComparison | undefined): readonly JudgedPoint[] {
  const forTheWhole = wholeUndecided(input, basis);
  const settings = settingsOf(input);
  return input.table.rows.flatMap((row, index) =>
    SIDES.flatMap((side) =>
      Number.isNaN(row[side])
        ? []
        : [
            judgePoint(
              input,
              row,
              barePoint(input, row, index, side, settings[index]!.setting),
              settings[index]!,
              forTheWhole,
            ),
          ],
    ),
  );
}

interface RowSetting {
  readonly setting: Setting;
  readonly problem?: Undecided;
  /** Absent where there is no reference. */
  readonly reference?: SettingCurves;
}

/** Setting and reference of every row, looked up once for rows that share them. */
function settingsOf(input: JudgeInput): readonly RowSetting[] {
  const known = new Map<string, RowSetting>();
  return input.table.rows.map((row) => {
    const vector = row.setting.join(' ');
    let found = known.get(vector);
    if (found === undefined) {
      const setting = settingOfRow(input.table, row);
      const problem = settingProblem(input, setting);
      found = {
        setting,
        ...(problem !== undefined && { problem }),
        ...(input.reference !== undefined && { reference: curvesOf(input.reference).at(setting) }),
      };
      known.set(vector, found);
    }
    return found;
  });
}

function judgePoint(
  input: JudgeInput,
  row: ForceRow,
  bare: BarePoint,
  { problem, reference }: RowSetting,
  forTheWhole: Undecided | undefined,
): JudgedPoint {
  const unknown = input.spec === undefined || reference === undefined || forTheWhole?.cause === 'setting';
  if (unknown) return undecided(bare, forTheWhole!);
  if (problem !== undefined) return undecided(bare, problem);
  const answer = reference.force(bare.side, bare.achieved);
  if (answer.kind === 'no setting')
    return undecided(bare, {
      cause: 'reference',
      reason: `The reference has no curve at ${settingText(bare.setting)}.`,
    });
  if (answer.kind === 'no constant force' || bare.damping === undefined)
    return undecided(bare, {
      cause: 'constant force',
      reason: `The constant force of the ${bare.damping === undefined ? 'test' : 'reference'} is not known, so damping force is not either.`,
    });
  if (answer.kind === 'out of range')
    return undecided(bare, {
      cause: 'range',
      reason: `The reference runs from ${speedText(answer.from)} to ${speedText(answer.to)}; ${speedText(bare.achieved)} lies too far outside.`,
    });
  return againstReference(input, { ...bare, damping: bare.damping }, answer.force, row, forTheWhole);
}

function againstReference(
  input: JudgeInput,
  bare: BarePoint & { readonly damping: number },
  reference: ReferenceForce,
  row: ForceRow,
  forTheWhole: Undecided | undefined,
): JudgedPoint {
  const sideTolerance = input.spec?.tolerance[bare.side];
  const drift = bare.damping - reference.damping;
  const hardening = SIDE_SIGN[bare.side] * drift;
  const zone = zoneOf(sideTolerance, reference.damping);
  const direction = hardening === 0 ? undefined : hardening > 0 ? 'harder' : 'softer';
  const tolerance = direction === undefined ? smaller(zone.softer, zone.harder) : zone[direction];
  const driftUncertainty = Math.hypot(bare.uncertainty, BOUNDS_K * reference.extrapolationU);
  const relativeDrift = relativeOf(
    drift,
    reference.damping,
    direction === undefined ? undefined : sideTolerance?.[direction],
  );
  const point: BarePoint = {
    ...bare,
    reference: reference.damping,
    drift,
    driftUncertainty,
    zone,
    ...(direction !== undefined && { direction }),
    ...(relativeDrift !== undefined && { relativeDrift }),
    ...(tolerance !== undefined && { tolerance, share: drift === 0 ? 0 : Math.abs(drift) / tolerance }),
  };
  const obstacle = forTheWhole ?? temperatureProblem(input, row) ?? toleranceProblem(zone, bare);
  if (obstacle !== undefined) return undecided(point, obstacle);
  const verdict = decide(hardening, driftUncertainty, zone);
  if (verdict !== 'undecided') return { ...point, verdict };
  const parts = partsOf(pointOfRow(input, row, bare.side), reference.extrapolationU);
  const settling = parts === undefined ? undefined : cyclesToSettle(hardening, zone, parts, bare.cycles);
  return {
    ...undecided(point, { cause: 'guard band', reason: guardBandReason(point, settling) }),
    ...(settling?.kind === 'cycles' && { cyclesToSettle: settling.cycles }),
  };
}

function barePoint(input: JudgeInput, row: ForceRow, index: number, side: Side, setting: Setting): BarePoint {
  const constant = constantForceOf(input.table, row);
  const m = row.measured;
  return {
    row: index,
    setting,
    pass: row.pass,
    side,
    velocity: row.velocity,
    achieved: speedOfRow(row, side),
    cycles: m?.cycles ?? 0,
    force: row[side],
    ...(constant !== undefined && { damping: row[side] - constant }),
    uncertainty: m?.[`${side}U`] ?? NaN,
    coverageFactor: m?.[`${side}K`] ?? NaN,
    degreesOfFreedom: m?.[`${side}Df`] ?? NaN,
    ...(row.temperature !== undefined && { temperature: row.temperature }),
  };
}

/** What keeps every point of the result undecided, if anything does. */
function wholeUndecided(input: JudgeInput, basis: BasisComparison | undefined): Undecided | undefined {
  const { spec, reference, table } = input;
  if (spec === undefined)
    return { cause: 'spec', reason: `There is no spec ${table.spec === '' ? 'named' : table.spec}.` };
  if (reference === undefined)
    return {
      cause: 'reference',
      reason:
        spec.reference === undefined ? 'The spec names no reference.' : `The reference ${spec.reference} is not there.`,
    };
  const { onlyMeasured, onlyReference, otherUnit } = adjusterDifferences(table, reference);
  if (onlyReference.length > 0)
    return {
      cause: 'setting',
      reason: `The position of ${listText(onlyReference)} is not stated, and the reference depends on it.`,
    };
  if (onlyMeasured.length > 0)
    return { cause: 'setting', reason: `The reference does not say at which ${listText(onlyMeasured)} it stands.` };
  if (otherUnit.length > 0)
    return { cause: 'setting', reason: `Test and reference count ${listText(otherUnit)} in different units.` };
  if (basis !== undefined && basis.differs.length > 0) {
    const parts = basis.differs.map((d) => `${BASIS_WORDS[d.key]} ${d.measured} against ${d.reference}`);
    return { cause: 'basis', reason: `Not tested like the reference: ${listText(parts)}.` };
  }
  return undefined;
}

function settingProblem(input: JudgeInput, setting: Setting): Undecided | undefined {
  const missing = input.table.adjusters.filter((a) => !Object.hasOwn(setting, a.id)).map((a) => a.id);
  if (missing.length === 0) return undefined;
  return { cause: 'setting', reason: `The position of ${listText(missing)} is not stated.` };
}

function temperatureProblem(input: JudgeInput, row: ForceRow): Undecided | undefined {
  if (!outsideWindow(input, row)) return undefined;
  const [low, high] = input.spec!.test.temperature!;
  return {
    cause: 'temperature',
    reason: `Run at ${temperatureText(row.temperature!)}, outside ${temperatureText(low)} to ${temperatureText(high)}.`,
  };
}

/** Whether a row's temperature is known and outside the spec's window. */
export function outsideWindow(input: JudgeInput, row: ForceRow): boolean {
  const window = input.spec?.test.temperature;
  if (window === undefined || row.temperature === undefined || Number.isNaN(row.temperature)) return false;
  const rounding = 1e-6;
  return row.temperature < window[0] - rounding || row.temperature > window[1] + rounding;
}

function toleranceProblem(zone: ToleranceZone, bare: BarePoint): Undecided | undefined {
  if (zone.softer === undefined && zone.harder === undefined)
    return { cause: 'tolerance', reason: `Not judged: the spec gives no tolerance for ${bare.side}.` };
  if (Number.isNaN(bare.uncertainty))
    return { cause: 'uncertainty', reason: 'The result does not state its uncertainty.' };
  return undefined;
}

function zoneOf(tolerance: SideTolerance | undefined, reference: number): ToleranceZone {
  const softer = widthOf(tolerance?.softer, reference);
  const harder = widthOf(tolerance?.harder, reference);
  return { ...(softer !== undefined && { softer }), ...(harder !== undefined && { harder }) };
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

function partsOf(measured: MeasuredPoint | undefined, extrapolationU: number): readonly JudgedPart[] | undefined {
  if (measured === undefined) return undefined;
  const { parts } = measured.uncertainty;
  return extrapolationU > 0 ? [...parts, { name: 'extrapolation', u: extrapolationU, df: Infinity }] : parts;
}

function guardBandReason(point: BarePoint, settling: Settling | undefined): string {
  const { drift, driftUncertainty, tolerance } = point;
  const limit = tolerance === undefined ? 'the limit of the other side' : `the tolerance of ${forceText(tolerance)}`;
  const start = `Drift ${forceText(Math.abs(drift!))} with U ${forceText(driftUncertainty!)} is neither safely inside nor safely outside ${limit}`;
  if (settling === undefined) return `${start}; what would settle it cannot be said without the log.`;
  if (settling.kind === 'cycles')
    return `${start}; ${settling.cycles} cycles in this step would settle it if its mean stays.`;
  if (settling.kind === 'too many') return `${start}; even ${MOST_CYCLES} cycles would not settle it.`;
  const largest = PART_WORDS[settling.largest] ?? settling.largest;
  return `${start}; more cycles cannot settle this; the largest part is ${largest}.`;
}

function undecided(point: BarePoint, { cause, reason }: Undecided): JudgedPoint {
  return { ...point, verdict: 'undecided', cause, reason };
}

function smaller(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.min(a, b);
}

/** How much of its tolerance a drift takes, for messages: `134 %`. */
export function shareText(point: JudgedPoint): string {
  return point.share === undefined ? 'an unknown part' : percentText(point.share);
}

import type { ForceRow } from '../files/forceTable';
import type { Band, SideTolerance } from '../files/spec';
import { ceilingOfRow } from './ceilingOfRow';
import { cyclesToSettle, type JudgedPart } from './decisionRule';
import type { JudgedPoint } from './judgedResult';
import { pointOfRow } from './pointOfRow';
import { guardBandReason, reasonOf } from './pointReasons';
import type { PointInput, RowPlace, Weighing } from './weighing';
import { zoneOf } from './weighing';

/** A point while it is put together. */
type Draft = { -readonly [Key in keyof JudgedPoint]: JudgedPoint[Key] };

/** Where a point was measured. */
export interface MeasuredPlace {
  readonly row: ForceRow;
  /** Of the row in its table. */
  readonly index: number;
  readonly place: RowPlace;
}

/** The point that was weighed, with the reason for what stays undecided. */
export function judgedPoint(weighing: Weighing, input: PointInput, { row, index, place }: MeasuredPlace): JudgedPoint {
  const { side } = weighing;
  const point: Draft = {
    row: index,
    setting: place.setting,
    pass: row.pass,
    side,
    velocity: row.velocity,
    achieved: weighing.achieved,
    cycles: row.measured?.cycles ?? 0,
    force: row[side],
    uncertainty: weighing.uncertainty,
    coverageFactor: weighing.coverageFactor,
    degreesOfFreedom: weighing.degreesOfFreedom,
    verdict: weighing.verdict,
  };
  if (!Number.isNaN(weighing.damping)) point.damping = weighing.damping;
  const df = input.runToRun?.spread[side]?.df;
  if (weighing.remountingU !== 0 && df !== undefined) point.runToRun = { u: weighing.remountingU, df };
  if (row.temperature !== undefined) point.temperature = row.temperature;
  if (side === 'compression' && input.spec?.hardware.baseValve === false) {
    const ceiling = ceilingOfRow(input.spec, input.table, row);
    if (ceiling !== undefined) point.ceiling = ceiling;
  }
  if (weighing.isHeld) addDrift(point, weighing, input.spec?.tolerance[side]);
  if (weighing.cause !== undefined) addReason(point, weighing, input, row, place);
  return point;
}

function addDrift(point: Draft, weighing: Weighing, tolerance: SideTolerance | undefined): void {
  const { reference, drift, hardening, share } = weighing;
  if (weighing.normalised !== undefined) point.normalised = weighing.normalised;
  point.reference = reference;
  point.drift = drift;
  point.driftUncertainty = weighing.driftUncertainty;
  point.zone = zoneOf(tolerance, reference);
  const direction = hardening === 0 ? undefined : hardening > 0 ? 'harder' : 'softer';
  if (direction !== undefined) point.direction = direction;
  if (weighing.tolerance !== Infinity) point.tolerance = weighing.tolerance;
  if (!Number.isNaN(share)) point.share = share;
  const relative = relativeOf(drift, reference, direction === undefined ? undefined : tolerance?.[direction]);
  if (relative !== undefined) point.relativeDrift = relative;
}

/** A percentage misleads where the absolute limit is the wider one. */
function relativeOf(drift: number, reference: number, band: Band | undefined): number | undefined {
  const nearZero =
    band?.relative !== undefined && band.absolute !== undefined && Math.abs(reference) < band.absolute / band.relative;
  return nearZero || reference === 0 ? undefined : drift / Math.abs(reference);
}

function addReason(point: Draft, weighing: Weighing, input: PointInput, row: ForceRow, place: RowPlace): void {
  const { cause, obstacle } = weighing;
  point.cause = cause!;
  if (cause !== 'guard band') {
    point.reason = obstacle?.reason ?? reasonOf(weighing, input, row, place);
    return;
  }
  const zone = point.zone ?? {};
  const parts = partsOf(weighing, input, row);
  const settling = parts && cyclesToSettle(weighing.hardening, zone, parts, point.cycles);
  point.reason = guardBandReason(point, zone, settling);
  if (settling?.kind === 'cycles') point.cyclesToSettle = settling.cycles;
}

/** Parts of a drift's uncertainty; undefined where the log is not there to tell those of the measurement. */
function partsOf(weighing: Weighing, input: PointInput, row: ForceRow): readonly JudgedPart[] | undefined {
  const { side, remountingU, extrapolationU, normalised } = weighing;
  const measured = pointOfRow(input, row, side);
  if (measured === undefined) return undefined;
  const added: readonly JudgedPart[] = [
    { name: 'run to run', u: remountingU, df: input.runToRun?.spread[side]?.df ?? Infinity },
    { name: 'extrapolation', u: extrapolationU, df: Infinity },
    { name: 'normalising', u: normalised?.u ?? 0, df: Infinity },
  ];
  return [...measured.uncertainty.parts, ...added.filter((part) => part.u > 0)];
}

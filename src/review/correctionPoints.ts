import type { DriftPoint } from '../analysis/corrections/driftModel';
import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { Setting, Spec } from '../files/spec';
import type { CorrectionSweeps } from './correctionSweeps';
import type { JudgedPoint, JudgedResult } from './judgedResult';
import { constantForceOf, curvesOf, settingKey, settingOfRow } from './referenceCurves';

/** A judged point with what the fit needs of it. */
export interface FittedPoint {
  /** Index into the result's points. */
  readonly index: number;
  readonly judged: JudgedPoint;
  readonly drift: DriftPoint;
}

const COVERAGE = 2;

/**
 * Every point that has a reference, gas not taken off: the load cell's force held against the damping force of the reference and its own
 * constant force. So a test whose constant force is not known has a place here too.
 */
export function fittedPoints(
  result: JudgedResult,
  adjusters: readonly string[],
  sweeps: CorrectionSweeps,
): FittedPoint[] {
  const { reference, spec } = result;
  if (reference === undefined) return [];
  const gas = gasOfReference(reference);
  return result.points.flatMap((judged, index) => {
    const { side, achieved, setting } = judged;
    const answer = curvesOf(reference).at(setting).force(side, achieved);
    const constant = gas(setting, judged.velocity);
    if (answer.kind !== 'known' || constant === undefined || !Number.isFinite(judged.force)) return [];
    const { damping } = answer.force;
    const needles = adjusters.map((id) =>
      actsOnSide(spec, id, side) ? sweeps.curve(id, setting, side, achieved) : undefined,
    );
    const u = standardUncertainty(judged);
    return [
      { index, judged, drift: { side, drift: judged.force - damping - constant, reference: damping, u, needles } },
    ];
  });
}

/** Whether the spec lets an adjuster act on a side; where it does not say, it may. */
export function actsOnSide(spec: Spec | undefined, id: string, side: Side): boolean {
  const acts = spec?.adjusters.find((one) => one.id === id)?.acts?.side;
  return acts === undefined || acts === 'both' || acts === side;
}

/** NaN where none is stated. */
export function standardUncertainty({ driftUncertainty, uncertainty, coverageFactor }: JudgedPoint): number {
  return (driftUncertainty ?? uncertainty) / (coverageFactor > 0 ? coverageFactor : COVERAGE);
}

/** Constant force of the row of a setting that is nearest in speed. */
function gasOfReference(table: ForceTable): (setting: Setting, velocity: number) => number | undefined {
  const rows = new Map<string, { readonly velocity: number; readonly gas: number }[]>();
  for (const row of table.rows) {
    const gas = constantForceOf(table, row);
    if (gas === undefined || row.pass !== 1) continue;
    const key = settingKey(settingOfRow(table, row));
    rows.set(key, [...(rows.get(key) ?? []), { velocity: row.velocity, gas }]);
  }
  return (setting, velocity) =>
    rows
      .get(settingKey(setting))
      ?.reduce((a, b) => (Math.abs(b.velocity - velocity) < Math.abs(a.velocity - velocity) ? b : a)).gas;
}

import type { DriftPoint } from '../analysis/corrections/driftModel';
import type { NeedleCurve } from '../analysis/corrections/needleCurve';
import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { Setting, Spec } from '../files/spec';
import type { CorrectionSweeps } from './correctionSweeps';
import type { JudgedPoint, JudgedResult } from './judgedResult';
import type { SettingCurves } from './referenceCurves';
import { constantForceOf, curvesOf, settingKey, settingsOfTable } from './referenceCurves';

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
  const curves = curvesOf(reference);
  const acting = {
    compression: adjusters.map((id) => actsOnSide(spec, id, 'compression')),
    rebound: adjusters.map((id) => actsOnSide(spec, id, 'rebound')),
  };
  const fitted: FittedPoint[] = [];
  // Neighbours share their setting, so that it is looked up once.
  let setting: Setting | undefined;
  let here: SettingCurves | undefined;
  for (let index = 0; index < result.points.length; index++) {
    const judged = result.points[index]!;
    const { side, achieved } = judged;
    if (here === undefined || judged.setting !== setting) {
      setting = judged.setting;
      here = curves.at(setting);
    }
    const damping = here.damping(side, achieved);
    const constant = gas(setting, judged.velocity);
    if (Number.isNaN(damping) || constant === undefined || !Number.isFinite(judged.force)) continue;
    const needles: (NeedleCurve | undefined)[] = [];
    for (let k = 0; k < adjusters.length; k++)
      needles.push(acting[side][k]! ? sweeps.curve(adjusters[k]!, setting, side, achieved) : undefined);
    const drift = judged.force - damping - constant;
    fitted.push({
      index,
      judged,
      drift: { side, drift, reference: damping, u: standardUncertainty(judged), needles },
    });
  }
  return fitted;
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

type GasOfReference = (setting: Setting, velocity: number) => number | undefined;

const gases = new WeakMap<ForceTable, GasOfReference>();

/** Constant force of the row of a setting that is nearest in speed; the rows are sorted out once for all results. */
function gasOfReference(table: ForceTable): GasOfReference {
  const known = gases.get(table);
  if (known !== undefined) return known;
  const rows = new Map<string, ReadonlyMap<number, number>>();
  for (const group of settingsOfTable(table).all) {
    const own = new Map<number, number>();
    for (const row of group.rows) {
      const gas = constantForceOf(table, row);
      if (gas !== undefined && row.pass === 1 && !own.has(row.velocity)) own.set(row.velocity, gas);
    }
    if (own.size > 0) rows.set(group.key, own);
  }
  let last: Setting | undefined;
  let own: ReadonlyMap<number, number> | undefined;
  const gas: GasOfReference = (setting, velocity) => {
    if (setting !== last) {
      last = setting;
      own = rows.get(settingKey(setting));
    }
    return own?.get(velocity) ?? (own && gasOfNearest(own, velocity));
  };
  gases.set(table, gas);
  return gas;
}

/** The first one where two are as near. */
function gasOfNearest(gases: ReadonlyMap<number, number>, velocity: number): number | undefined {
  let nearest = Infinity;
  let found: number | undefined;
  for (const [at, gas] of gases) {
    if (Math.abs(at - velocity) >= nearest) continue;
    nearest = Math.abs(at - velocity);
    found = gas;
  }
  return found;
}

import type { ForceRow } from '../files/forceTable';
import type { Setting } from '../files/spec';
import type { BasisComparison } from './basis';
import { BASIS_WORDS } from './basis';
import type { ToleranceZone } from './decisionRule';
import type { JudgedPoint, UndecidedCause } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { adjusterDifferences } from './referenceCurves';
import { listText, temperatureText } from './wording';

/** Why a point stays undecided without its numbers being weighed. */
export interface Obstacle {
  readonly cause: UndecidedCause;
  readonly reason: string;
}

/** What keeps every point of the result undecided, if anything does. */
export function wholeUndecided(input: JudgeInput, basis: BasisComparison | undefined): Obstacle | undefined {
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

export function settingProblem(input: JudgeInput, setting: Setting): Obstacle | undefined {
  const missing = input.table.adjusters.filter((a) => !Object.hasOwn(setting, a.id)).map((a) => a.id);
  if (missing.length === 0) return undefined;
  return { cause: 'setting', reason: `The position of ${listText(missing)} is not stated.` };
}

export function temperatureProblem(input: JudgeInput, row: ForceRow): Obstacle | undefined {
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

export function toleranceProblem(
  zone: ToleranceZone,
  { side, uncertainty }: Pick<JudgedPoint, 'side' | 'uncertainty'>,
): Obstacle | undefined {
  if (zone.softer === undefined && zone.harder === undefined)
    return { cause: 'tolerance', reason: `Not judged: the spec gives no tolerance for ${side}.` };
  if (Number.isNaN(uncertainty)) return { cause: 'uncertainty', reason: 'The result does not state its uncertainty.' };
  return undefined;
}

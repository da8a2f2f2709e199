import type { ForceRow } from '../files/forceTable';
import type { Setting, Spec } from '../files/spec';
import type { BasisComparison } from './basis';
import { BASIS_WORDS } from './basis';
import type { UndecidedCause } from './judgedResult';
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

export function settingProblem({ table }: Pick<JudgeInput, 'table'>, setting: Setting): Obstacle | undefined {
  if (table.adjusters.every(({ id }) => Object.hasOwn(setting, id))) return undefined;
  const missing = table.adjusters.filter(({ id }) => !Object.hasOwn(setting, id)).map(({ id }) => id);
  return { cause: 'setting', reason: `The position of ${listText(missing)} is not stated.` };
}

/** Why a row outside the window of its spec is not judged. */
export function temperatureReason({ test }: Spec, { temperature }: ForceRow): string {
  const [low, high] = test.temperature!;
  return `Run at ${temperatureText(temperature!)}, outside ${temperatureText(low)} to ${temperatureText(high)}.`;
}

/** Whether a row's temperature is known and outside the spec's window. */
export function outsideWindow({ spec }: Pick<JudgeInput, 'spec'>, { temperature }: ForceRow): boolean {
  const window = spec?.test.temperature;
  if (window === undefined || temperature === undefined || Number.isNaN(temperature)) return false;
  return temperature < window[0] - ROUNDING || temperature > window[1] + ROUNDING;
}

/** Rounding of a temperature in a file must not decide. */
const ROUNDING = 1e-6;

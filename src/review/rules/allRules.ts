import type { RuleSettings } from '../../files/spec';
import type { JudgeInput } from '../judgeInput';
import { adjusterCrosstalk } from './adjusterCrosstalk';
import { adjusterDeadRange } from './adjusterDeadRange';
import { calibrationOverdue } from './calibrationOverdue';
import { cavitation } from './cavitation';
import { changeSignificant } from './changeSignificant';
import { clickStepUneven } from './clickStepUneven';
import { clickWrongWay } from './clickWrongWay';
import { driftFromReference } from './driftFromReference';
import { driftUndecided } from './driftUndecided';
import { frictionHigh } from './frictionHigh';
import { gasForce } from './gasForce';
import { limitExceeded } from './limitExceeded';
import { forceClipped, signSuspect, timeGap, timeNotIncreasing } from './logEvents';
import { loopDrop } from './loopDrop';
import { hysteresisHigh, loopAsymmetric, loopRough } from './loopShape';
import { loopVoid } from './loopVoid';
import { planIncomplete } from './planIncomplete';
import { provenance } from './provenance';
import { referenceMissing } from './referenceMissing';
import { referenceNotMonotonic } from './referenceNotMonotonic';
import { rowRepeated } from './rowRepeated';
import type { Rule } from './ruleContext';
import { settingUnknown } from './settingUnknown';
import { shapeChanged } from './shapeChanged';
import { specMissing } from './specMissing';
import { samplingTooSlow, stepNotSettled } from './stepQuality';
import { sweepNotClosed } from './sweepNotClosed';
import { temperatureOutside } from './temperatureOutside';
import { testBasisDiffers } from './testBasisDiffers';
import { uncertaintyTooLarge } from './uncertaintyTooLarge';
import { velocityDisagrees } from './velocityDisagrees';
import type { RuleOverrides } from './catalogue';

/** Rules whose findings may be errors as the catalogue has them; what all the others find is less. */
const ERROR_RULES: readonly Rule[] = [
  driftFromReference,
  provenance,
  signSuspect,
  timeNotIncreasing,
  forceClipped,
  limitExceeded,
  gasForce,
  loopVoid,
  loopDrop,
  clickStepUneven,
  clickWrongWay,
  adjusterDeadRange,
];

/** Every rule about a result, in the order in which findings of one level are listed. */
export const RESULT_RULES: readonly Rule[] = [
  ...ERROR_RULES,
  specMissing,
  settingUnknown,
  rowRepeated,
  testBasisDiffers,
  temperatureOutside,
  planIncomplete,
  uncertaintyTooLarge,
  velocityDisagrees,
  stepNotSettled,
  samplingTooSlow,
  timeGap,
  sweepNotClosed,
  adjusterCrosstalk,
  loopAsymmetric,
  hysteresisHigh,
  loopRough,
  cavitation,
  frictionHigh,
  shapeChanged,
  referenceNotMonotonic,
  calibrationOverdue,
  driftUndecided,
  changeSignificant,
  referenceMissing,
];

/** Those that look at logs and what was reduced from them alone, and say nothing where neither is at hand. */
const OF_LOGS: ReadonlySet<Rule> = new Set([
  timeNotIncreasing,
  forceClipped,
  loopVoid,
  loopDrop,
  velocityDisagrees,
  stepNotSettled,
  samplingTooSlow,
  timeGap,
  loopAsymmetric,
  hysteresisHigh,
  loopRough,
  frictionHigh,
]);

const WITHOUT_LOGS: readonly Rule[] = RESULT_RULES.filter((rule) => !OF_LOGS.has(rule));

/** The rules that may have something to say, in their order: of most results in a repository no log is fetched. */
export function rulesFor({ logs, analysis }: Pick<JudgeInput, 'logs' | 'analysis'>): readonly Rule[] {
  return logs.length === 0 && analysis === undefined ? WITHOUT_LOGS : RESULT_RULES;
}

const ERRORS_WITHOUT_LOGS = ERROR_RULES.filter((rule) => !OF_LOGS.has(rule));

/** The rules that may find an error, which alone count for a verdict. */
export function errorRulesFor(input: Pick<JudgeInput, 'logs' | 'analysis'>, overrides: RuleOverrides): readonly Rule[] {
  const rules = rulesFor(input);
  if (mayFindAnyError(overrides)) return rules;
  return rules === WITHOUT_LOGS ? ERRORS_WITHOUT_LOGS : ERROR_RULES;
}

/** Whether spec or damper-review.yaml make errors of what some rule finds. */
export function mayFindAnyError({ spec, config }: RuleOverrides): boolean {
  return makesErrors(config) || (spec !== undefined && makesErrors(spec));
}

function makesErrors(settings: RuleSettings): boolean {
  for (const id of Object.keys(settings)) if (settings[id]!.level === 'error') return true;
  return false;
}

import type { FindingLevel, RuleSettings } from '../../files/spec';
import { ADJUSTER_RULES } from './entriesOfAdjusters';
import { BRANCH_RULES } from './entriesOfBranches';
import { FILE_RULES } from './entriesOfFiles';
import { JUDGING_RULES } from './entriesOfJudging';
import { LOOP_RULES } from './entriesOfLoops';
import { TEST_RULES } from './entriesOfTests';
import { RULES_TO_COME } from './entriesToCome';
import type { RuleEntry, RuleText } from './ruleEntry';

const JUDGED = {
  ...FILE_RULES,
  ...TEST_RULES,
  ...JUDGING_RULES,
  ...LOOP_RULES,
  ...ADJUSTER_RULES,
  ...BRANCH_RULES,
};

/** Ids of the rules that something raises today. */
export type RuleId = keyof typeof JUDGED;

/** Every rule of the review by its id. */
export const RULES: ReadonlyMap<string, RuleEntry> = new Map([
  ...Object.entries<RuleText>(JUDGED).map(([id, text]) => [id, { ...text, id, docs: `docs/rules/${id}.md` }] as const),
  ...Object.entries<RuleText>(RULES_TO_COME).map(([id, text]) => [id, { ...text, id }] as const),
]);

/** Where levels and limits may be set. The spec wins over damper-review.yaml, level and limit each for itself. */
export interface RuleOverrides {
  readonly spec?: RuleSettings | undefined;
  readonly config: RuleSettings;
}

export function ruleEntry(id: RuleId): RuleEntry {
  return RULES.get(id)!;
}

/** Level of a rule as spec and damper-review.yaml have it, else its default; an unknown id counts as an error. */
export function ruleLevel(id: string, overrides: RuleOverrides): FindingLevel {
  return own(overrides.spec, id)?.level ?? own(overrides.config, id)?.level ?? RULES.get(id)?.level ?? 'error';
}

/** Limit of a rule, SI or a fraction; throws for a rule that has none, which is a mistake in the calling code. */
export function ruleLimit(id: RuleId, overrides: RuleOverrides): number {
  const limit = own(overrides.spec, id)?.limit ?? own(overrides.config, id)?.limit ?? ruleEntry(id).limit?.value;
  if (limit === undefined) throw new Error(`rule ${id} has no limit`);
  return limit;
}

/** Ids come from files, so that `constructor` and the like must not reach the prototype. */
function own(settings: RuleSettings | undefined, id: string): RuleSettings[string] | undefined {
  return settings !== undefined && Object.hasOwn(settings, id) ? settings[id] : undefined;
}

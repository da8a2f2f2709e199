import * as z from 'zod';
import { isQuantityProblem, NUMBER_PATTERN, parseQuantity } from '../../quantities/quantity';
import type { Dimension } from '../../quantities/unit';
import { unknownKeyRemedy } from '../nearest';
import { RULE_IDS, RULE_LIMITS } from '../ruleIds';
import type { RuleSettings } from '../spec';
import { madeOnce } from './madeOnce';
import { addFault } from './faults';
import { oneOf, text } from './scalars';

/** The id of a rule. */
export function ruleId(description: string) {
  return z
    .string()
    .meta({ description, enum: [...RULE_IDS] })
    .superRefine((value, context) => {
      if (!Object.hasOwn(RULE_LIMITS, value)) unknownRule(value, context, []);
    });
}

const ruleSetting = madeOnce(() =>
  z
    .strictObject({
      level: oneOf('How much a finding of this rule weighs; off: it is not raised.', [
        'error',
        'warning',
        'note',
        'off',
      ]).optional(),
      limit: text('From where on the rule finds something, with its unit.', 40).optional(),
    })
    .meta({ description: 'Level and limit of a rule.' }),
);

/** `rules:` of a spec or of damper-review.yaml. */
export const rulesSchema = madeOnce(() =>
  z
    .record(z.string(), ruleSetting())
    .meta({ description: 'Levels and limits of rules by their ids.' })
    .transform((rules, context): RuleSettings => {
      const result = Object.create(null) as Record<string, RuleSettings[string]>;
      for (const [id, { level, limit }] of Object.entries(rules)) {
        if (!Object.hasOwn(RULE_LIMITS, id)) {
          unknownRule(id, context, [id]);
          continue;
        }
        const value = limit === undefined ? undefined : readLimit(id, limit, context);
        result[id] = { ...(level === undefined ? {} : { level }), ...(value === undefined ? {} : { limit: value }) };
      }
      return result;
    }),
);

function readLimit(id: string, limit: string, context: z.RefinementCtx): number | undefined {
  const dimension = RULE_LIMITS[id]!;
  const path = [id, 'limit'];
  if (dimension === 'none') {
    addFault(
      context,
      `The rule '${id}' has no limit to set.`,
      { remedy: 'Remove the limit; the level can be set.' },
      path,
    );
    return undefined;
  }
  const result = parseQuantity(plainRatio(limit, dimension), dimension);
  if (isQuantityProblem(result)) {
    const rule = result.fault === 'unknown-unit' || result.fault === 'wrong-dimension' ? { rule: 'unit-mismatch' } : {};
    addFault(context, result.problem, { ...rule, remedy: result.remedy }, path);
    return undefined;
  }
  if (result.value > 0) return result.value;
  addFault(
    context,
    `The limit ${limit} is not above zero.`,
    { remedy: 'Write a limit above zero, or set the level to off.' },
    path,
  );
  return undefined;
}

/** Ratios such as roughness over noise carry no unit: `1.3` is itself. */
function plainRatio(limit: string, dimension: Dimension): string {
  return dimension === 'fraction' && NUMBER_PATTERN.test(limit.trim()) ? `${limit.trim()} 1` : limit;
}

function unknownRule(id: string, context: z.RefinementCtx, path: PropertyKey[]): void {
  addFault(context, `There is no rule '${id}'.`, { remedy: unknownKeyRemedy(id, RULE_IDS) }, path);
}

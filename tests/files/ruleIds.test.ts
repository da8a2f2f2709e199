import { describe, expect, it } from 'vitest';
import { RULE_IDS, RULE_LIMITS } from '../../src/files/ruleIds';
import { RULES } from '../../src/review/rules/catalogue';

describe('rule ids of the schema', () => {
  it('are those of the catalogue', () => {
    expect([...RULE_IDS].sort()).toEqual([...RULES.keys()].sort());
  });

  it('have a limit where the catalogue has one, of its dimension', () => {
    const dimensions = { m: 'length', s: 'time', '1': 'fraction' } as const;
    for (const [id, { limit }] of RULES)
      expect(RULE_LIMITS[id], id).toBe(limit === undefined ? 'none' : dimensions[limit.unit]);
  });
});

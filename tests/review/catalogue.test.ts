import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { RULE_LIMITS } from '../../src/files/ruleIds';
import { RULES, ruleLevel, ruleLimit } from '../../src/review/rules/catalogue';
import type { RuleEntry } from '../../src/review/rules/ruleEntry';

const ROOT = join(import.meta.dirname, '../..');
/** Ids and default levels as the project's definitions list them. */
const LEVELS = {
  error:
    'unreadable file-invalid spec-invalid path-outside id-ambiguous unit-mismatch sign-suspect time-not-increasing force-clipped limit-exceeded ' +
    'drift-from-reference result-altered loop-void void-mounting loop-drop gas-force-low click-step-uneven click-wrong-way adjuster-dead-range ' +
    'pair-mismatch fade-over-limit',
  warning:
    'file-kind-differs spec-missing setting-unknown row-repeated time-gap sampling-too-slow velocity-disagrees velocity-not-reached ' +
    'step-not-settled test-plan-incomplete test-basis-differs temperature-outside reference-not-monotonic uncertainty-too-large result-stale ' +
    'result-unsourced loop-asymmetric loop-rough hysteresis-high cavitation gas-force-high friction-high shape-changed adjuster-crosstalk ' +
    'sweep-not-closed duty-not-covered calibration-overdue bench-out-of-control large-file-pointer waiver-expired reference-moved ' +
    'reference-rows-removed reference-crept tolerance-moved test-plan-narrowed mapping-moved bench-data-moved method-moved waiver-added ' +
    'retest-not-declared history-broken',
  note: 'drift-undecided change-significant reference-missing',
};

describe('catalogue', () => {
  it('holds every rule at its default level, and no other', () => {
    const listed = Object.entries(LEVELS).flatMap(([level, ids]) => ids.split(' ').map((id) => [id, level]));
    expect([...RULES.values()].map((r) => [r.id, r.level]).sort()).toEqual(listed.sort());
  });

  it('knows the same rules and limits as the readers of specs and damper-review.yaml', () => {
    expect([...RULES.keys()].sort()).toEqual(Object.keys(RULE_LIMITS).sort());
    for (const { id, limit } of RULES.values()) {
      const dimension = limit === undefined ? 'none' : { m: 'length', s: 'time', '1': 'fraction' }[limit.unit];
      if (RULES.get(id)?.docs !== undefined) expect([id, RULE_LIMITS[id]]).toEqual([id, dimension]);
    }
  });

  it('says a plain sentence and what to do for every rule that is judged', () => {
    for (const { id, docs, title, sentence, next } of RULES.values()) {
      expect(title, id).toMatch(/^[A-Z].*[^.]$/);
      expect(sentence, id).toMatch(/^[A-Z].*\.$/);
      if (docs !== undefined) expect(next, id).toMatch(/^[A-Z].*\.$/);
    }
  });

  it('lets the spec win over damper-review.yaml, level and limit each for itself', () => {
    const config = { 'loop-drop': { level: 'note', limit: 0.1 } } as const;
    const spec = { 'loop-drop': { limit: 0.05 } } as const;
    expect(ruleLevel('loop-drop', { spec, config })).toBe('note');
    expect(ruleLimit('loop-drop', { spec, config })).toBe(0.05);
    expect(ruleLimit('loop-drop', { config: {} })).toBe(0.08);
    expect(() => ruleLimit('unreadable', { config: {} })).toThrow('has no limit');
  });
});

describe('pages of the rules', () => {
  const judged = [...RULES.values()].filter((rule) => rule.docs !== undefined);
  const page = (rule: RuleEntry): string => readFileSync(join(ROOT, rule.docs!), 'utf8');

  it('are there for every rule that is judged, and for no other', () => {
    const files = readdirSync(join(ROOT, 'docs/rules')).filter((name) => name !== 'README.md');
    expect(files.sort()).toEqual(judged.map((rule) => `${rule.id}.md`).sort());
    const index = readFileSync(join(ROOT, 'docs/rules/README.md'), 'utf8');
    expect([...index.matchAll(/\]\(([a-z-]+)\.md\)/g)].map((m) => m[1]).sort()).toEqual(judged.map((r) => r.id).sort());
  });

  it.each(judged.map((rule) => [rule.id, rule] as const))(
    '%s: level, limit, sentence, causes and advice are those of the catalogue',
    (_, rule) => {
      const text = page(rule);
      expect(text).toContain(`# \`${rule.id}\`: ${rule.title}`);
      expect(text).toContain(`Default level: **${rule.level}**.`);
      expect(text.includes('Default limit: **')).toBe(rule.limit !== undefined);
      if (rule.limit !== undefined) expect(statedLimit(text) / rule.limit.value).toBeCloseTo(1, 2);
      expect(text).toContain(rule.sentence);
      expect(text).toContain(rule.next);
      for (const cause of rule.causes) expect(text).toContain(`- ${cause}`);
      for (const heading of [
        'What it means',
        'Evidence',
        'What to check next',
        'What it cannot tell',
        'Level, limit, waiver',
        'Source',
      ])
        expect(text).toMatch(new RegExp(`^## ${heading}\n\n\\S`, 'm'));
    },
  );
});

function statedLimit(text: string): number {
  const [, number, unit] = /Default limit: \*\*([\d.]+)(?: (mm|%))?\*\*/.exec(text)!;
  return Number(number) * (unit === 'mm' ? 0.001 : unit === '%' ? 0.01 : 1);
}

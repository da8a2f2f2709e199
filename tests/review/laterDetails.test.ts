import { describe, expect, it } from 'vitest';
import { textTeller } from '../../src/reports/text';
import { withDetails } from '../../src/review/laterDetails';
import { applyWaivers } from '../../src/review/waivers';
import { log, withAnalysis } from './ruleInputs';
import { aResult, aWaiver, judge, softer } from './scenario';

const bare = {
  rule: 'drift-from-reference',
  level: 'error',
  file: 'dampers/F-017/build-2/delivery.result.csv',
  position: { line: 9, column: 1 },
  message: 'F-017 build 2: rebound 300 mm/s is 134 % of tolerance, softer.',
  next: '',
} as const;
const related = [{ position: { line: 12, column: 1 }, message: 'rebound at 500 mm/s' }];

describe('the details of a finding', () => {
  it('are made once, when they are first asked for', () => {
    let made = 0;
    const finding = withDetails({ ...bare }, () => {
      made += 1;
      return { evidence: { drift_N: 46.5 }, related };
    });
    expect(finding.message).toBe(bare.message);
    expect(made).toBe(0);
    expect(finding.evidence).toEqual({ drift_N: 46.5 });
    expect(finding.related).toBe(related);
    expect(made).toBe(1);
  });

  it('are in every copy and document as if they had been there', () => {
    const plain = { ...bare, evidence: { drift_N: 46.5 }, related };
    const lazy = () => withDetails({ ...bare }, () => ({ evidence: { drift_N: 46.5 }, related }));
    expect({ ...lazy() }).toStrictEqual(plain);
    expect(JSON.stringify(lazy())).toBe(JSON.stringify(plain));
    const waiver = aWaiver({ rule: 'drift-from-reference' });
    expect(applyWaivers([lazy()], [waiver], '2026-01-01')).toEqual(applyWaivers([plain], [waiver], '2026-01-01'));
  });

  it('hold no empty list of related rows', () => {
    expect(withDetails({ ...bare }, () => ({ evidence: {}, related: [] })).related).toBeUndefined();
  });

  it('are not made for a terminal', () => {
    const result = judge({ table: aResult({ drift: (side) => softer(side, 30) }) });
    const drifts = result.findings.filter(({ rule }) => rule === 'drift-from-reference');
    expect(drifts).not.toHaveLength(0);
    let asked = 0;
    for (const finding of drifts)
      for (const name of ['evidence', 'related'] as const) {
        const value = Object.getOwnPropertyDescriptor(finding, name)!.get!.bind(finding) as () => unknown;
        Object.defineProperty(finding, name, { get: () => ((asked += 1), value()), configurable: true });
      }
    expect(textTeller({ colour: false, width: 80 }).rest(result)).toContain('drift-from-reference');
    expect(asked).toBe(0);
    expect(drifts[0]!.evidence['share_percent']).toBeGreaterThan(100);
    expect(asked).toBe(1);
  });

  it('are made at once where a log is at hand, as its samples would be held on to', () => {
    const lines: number[] = [];
    const watched = { ...log, lineOfRow: (row: number) => (lines.push(row), log.lineOfRow(row)) };
    const result = judge({
      ...withAnalysis({}),
      logs: [watched],
      table: aResult({ firstLine: 0, drift: (side) => softer(side, 30) }),
    });
    const asked = lines.length;
    expect(asked).toBeGreaterThan(1);
    const drift = result.findings.find(({ rule }) => rule === 'drift-from-reference')!;
    expect(drift.evidence['share_percent']).toBeGreaterThan(100);
    expect(lines.length).toBe(asked);
  });
});

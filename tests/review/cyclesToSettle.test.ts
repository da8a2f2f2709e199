import { describe, expect, it } from 'vitest';
import type { UncertaintyPart } from '../../src/analysis/runAnalysis';
import { cyclesToSettle, decide } from '../../src/review/decisionRule';
import { aLog, anAnalysis } from './logScenario';
import { aResult, judge, softer } from './scenario';

const zone = { softer: 20, harder: 20 };

describe('cyclesToSettle', () => {
  it('finds the smallest number of cycles: scatter falls with the root of their number', () => {
    // 16 N out of 20, u 3 N of 4 cycles and no other part: U = 1.96 x 3 x sqrt(4 / n) <= 4 from n = 8.64 on, so 9 (df infinite).
    const parts = [{ name: 'cycles', u: 3, df: Infinity }];
    expect(cyclesToSettle(16, zone, parts, 4)).toEqual({ kind: 'cycles', cycles: 9 });
  });

  it('counts for a fail as for a pass', () => {
    // 24 N out of 20: U below 4 proves the fail, at the same number of cycles.
    expect(cyclesToSettle(-24.0001, zone, [{ name: 'cycles', u: 3, df: Infinity }], 4)).toEqual({
      kind: 'cycles',
      cycles: 9,
    });
  });

  it('says that cycles cannot settle it, and which part is largest', () => {
    const parts = [
      { name: 'cycles', u: 1, df: 20 },
      { name: 'load cell', u: 2.5, df: Infinity },
      { name: 'gas', u: 1.2, df: Infinity },
    ];
    expect(cyclesToSettle(19, zone, parts, 4)).toEqual({ kind: 'never', largest: 'load cell' });
  });

  it('does not promise a number of cycles that nobody runs', () => {
    expect(cyclesToSettle(19.99, zone, [{ name: 'cycles', u: 3, df: Infinity }], 4)).toEqual({ kind: 'too many' });
    expect(cyclesToSettle(20, zone, [{ name: 'cycles', u: 3, df: Infinity }], 4)).toMatchObject({ kind: 'too many' });
  });

  it('gains degrees of freedom with cycles, so that few of them are not made to look hopeless', () => {
    const few = cyclesToSettle(16, zone, [{ name: 'cycles', u: 3, df: 3 }], 4);
    expect(few.kind).toBe('cycles');
    if (few.kind === 'cycles') expect(few.cycles).toBeGreaterThanOrEqual(9);
  });

  it('is the smallest: one cycle fewer leaves it undecided (U worked out apart, df infinite)', () => {
    for (const [drift, u, rest, cycles] of [
      [15, 4, 1, 4],
      [17.5, 2, 0.5, 6],
      [23, 3, 1, 3],
    ] as const) {
      const parts: UncertaintyPart[] = [
        { name: 'cycles', u, df: Infinity },
        { name: 'method', u: rest, df: Infinity },
      ];
      const settling = cyclesToSettle(drift, zone, parts, cycles);
      if (settling.kind !== 'cycles') throw new Error('cycles settle this');
      const U = (n: number): number => 1.959963984540054 * Math.sqrt((u * u * cycles) / n + rest * rest);
      expect(decide(drift, U(settling.cycles), zone)).not.toBe('undecided');
      expect(decide(drift, U(settling.cycles - 1), zone)).toBe('undecided');
    }
  });
});

describe('an undecided point', () => {
  const drifted = (side: 'compression' | 'rebound', v: number) =>
    side === 'compression' && v === 0.1 ? softer(side, 16) : 0;
  const measured = (parts: readonly UncertaintyPart[], U: number) => ({
    table: aResult({ drift: drifted, U, firstLine: 0 }),
    provenance: { kind: 'measured' as const },
    logs: [aLog()],
    analysis: anAnalysis({ drift: drifted, parts, U }),
  });

  it('says how many cycles would settle it, and stands at the first sample of its step', () => {
    const result = judge(measured([{ name: 'cycles', u: 3, df: Infinity }], 5.88));
    const point = result.points.find((p) => p.verdict === 'undecided')!;
    expect(point).toMatchObject({ cause: 'guard band', cyclesToSettle: 9, side: 'compression', velocity: 0.1 });
    const finding = result.findings.find((f) => f.rule === 'drift-undecided')!;
    expect(finding.message).toContain('9 cycles in this step would settle it');
    expect(finding.next).toBe('Do not release it yet. Run 9 cycles in every step of this band after the same warm-up.');
    expect(finding.file).toBe('dampers/F-017/build-2/alder-front.testlog.csv');
    expect(finding.position.line).toBe(13);
  });

  it('says that more cycles cannot, and names the largest part', () => {
    const parts: UncertaintyPart[] = [
      { name: 'cycles', u: 0.5, df: 40 },
      { name: 'load cell', u: 2.9, df: Infinity },
    ];
    const result = judge(measured(parts, 5.8));
    const finding = result.findings.find((f) => f.rule === 'drift-undecided')!;
    expect(finding.message).toContain('more cycles cannot settle this; the largest part is the load cell');
    expect(result.points.find((p) => p.verdict === 'undecided')!.cyclesToSettle).toBeUndefined();
  });
});

import { describe, expect, it } from 'vitest';
import { decide } from '../../src/review/decisionRule';
import { verdictAdvice, verdictSentence } from '../../src/review/verdictSentence';
import { aReference, aResult, aSpec, aWaiver, aConfig, judge, referenceDamping, softer, VELOCITIES } from './scenario';

describe('decision rule', () => {
  // Tolerance +-10, U 2: the guard band leaves +-8 to accept in and rejects beyond 12. Rule of ISO 14253-1 (conformity is proven only inside the
  // tolerance reduced by U on both sides, nonconformity only outside the tolerance extended by U), the guard band w = U of JCGM 106:2012.
  const zone = { softer: 10, harder: 10 };
  it.each([
    [0, 'pass'],
    [8, 'pass'],
    [-8, 'pass'],
    [8.001, 'undecided'],
    [10, 'undecided'],
    [12, 'undecided'],
    [-12, 'undecided'],
    [12.001, 'fail'],
    [-12.001, 'fail'],
  ] as const)('a drift of %d with U 2 in a tolerance of 10 is %s', (drift, verdict) => {
    expect(decide(drift, 2, zone)).toBe(verdict);
  });

  it('passes exactly at the limit where U is 0, and never passes where U exceeds the tolerance', () => {
    expect(decide(10, 0, zone)).toBe('pass');
    expect(decide(0, 10.5, zone)).toBe('undecided');
  });

  it('uses the limit of the side that the drift lies on, and lets U reach no farther than either limit', () => {
    const uneven = { softer: 10, harder: 4 };
    expect(decide(-7, 2, uneven)).toBe('pass');
    expect(decide(7, 2, uneven)).toBe('fail');
    expect(decide(-1, 6, uneven)).toBe('undecided'); // 7 softer fits, 5 harder does not
  });
});

describe('judgeResult', () => {
  it('passes a unit that is on its reference', () => {
    const result = judge();
    expect(result.verdict).toBe('pass');
    expect(result.points).toHaveLength(2 * VELOCITIES.length);
    expect(result.findings).toEqual([]);
    expect(result.missing).toEqual([]);
    expect(result.reasons).toEqual([]);
    expect(result.decisionRule).toContain('ISO 14253-1');
  });

  it('takes the larger of relative and absolute tolerance, point by point', () => {
    const result = judge();
    const at = (velocity: number, side: string) =>
      result.points.find((p) => p.velocity === velocity && p.side === side)!;
    expect(at(0.1, 'compression').tolerance).toBeCloseTo(20, 9); // 5 % of 350 N is less than 20 N
    expect(at(1.0, 'rebound').tolerance).toBeCloseTo(140, 9); // 5 % of 2800 N
    expect(at(0.1, 'compression').reference).toBeCloseTo(referenceDamping('compression', 0.1), 9);
    expect(at(1.0, 'rebound').force - at(1.0, 'rebound').damping!).toBeCloseTo(375, 9);
  });

  it('says which unit, which side, which speeds, how far out, which way, and at which setting', () => {
    const drift = (side: 'compression' | 'rebound', v: number) =>
      side === 'rebound' && v >= 0.3 && v <= 0.5 ? softer(side, 1.34 * 0.05 * Math.abs(referenceDamping(side, v))) : 0;
    const result = judge({ table: aResult({ drift }) });
    expect(result.verdict).toBe('fail');
    const [finding] = result.findings;
    expect(finding).toMatchObject({ rule: 'drift-from-reference', level: 'error', side: 'rebound' });
    expect(finding!.message).toBe('F-017 build 2: rebound 300 to 500 mm/s is 134 % of tolerance, softer, at R 6.');
    expect(finding!.next).toContain('Check setting and temperature first');
    expect(finding!.related).toHaveLength(2);
    expect(finding!.evidence).toMatchObject({ from_mm_s: 300, to_mm_s: 500, share_percent: 134 });
    expect(verdictSentence(result)).toBe(
      'F-017 build 2 FAIL: 134 % of tolerance, rebound 300 to 500 mm/s, softer, at R 6',
    );
    expect([20, 21, 22, 23, 24]).toContain(finding!.position.line);
  });

  it('counts drift as harder or softer by side, and its sign as the force moves', () => {
    const harder = judge({ table: aResult({ drift: (side) => softer(side, -60) }) });
    for (const point of harder.points) {
      expect(point.direction).toBe('harder');
      expect(Math.sign(point.drift!)).toBe(point.side === 'compression' ? 1 : -1);
    }
  });

  it('uses different tolerances for softer and harder', () => {
    const side = { softer: { absolute: 100 }, harder: { absolute: 30 } };
    const spec = aSpec({ tolerance: { compression: side, rebound: side } });
    expect(judge({ spec, table: aResult({ drift: (s) => softer(s, 60) }) }).verdict).toBe('pass');
    const hard = judge({ spec, table: aResult({ drift: (s) => softer(s, -60) }) });
    expect(hard.verdict).toBe('fail');
    expect(hard.points[0]).toMatchObject({ tolerance: 30, zone: { softer: 100, harder: 30 } });
  });

  it('leaves the percentage out where the absolute tolerance is the wider one', () => {
    const result = judge({ table: aResult({ drift: () => 5 }) });
    const slow = result.points.find((p) => p.velocity === 0.1 && p.side === 'compression')!;
    const fast = result.points.find((p) => p.velocity === 1.0 && p.side === 'compression')!;
    expect(slow.relativeDrift).toBeUndefined(); // 350 N < 20 N / 5 %
    expect(fast.relativeDrift).toBeCloseTo(5 / 1700, 12);
  });

  it('is undecided on a missing planned point, though all points pass', () => {
    const result = judge({ table: aResult({ velocities: VELOCITIES.slice(0, -1) }) });
    expect(result.points.every((p) => p.verdict === 'pass')).toBe(true);
    expect(result.verdict).toBe('undecided');
    expect(result.missing).toEqual([{ setting: { LSC: 8, HSC: 3, R: 6 }, velocity: 1.0 }]);
    expect(result.reasons).toContain('1 planned point missing');
  });

  it('judges only the sides that the spec gives a tolerance for', () => {
    const band = { relative: 0.05, absolute: 20 };
    const spec = aSpec({ tolerance: { rebound: { softer: band, harder: band } } });
    const result = judge({ spec, table: aResult({ drift: (side) => (side === 'compression' ? 900 : 0) }) });
    expect(result.verdict).toBe('pass');
    expect(result.points.find((p) => p.side === 'compression')).toMatchObject({
      verdict: 'undecided',
      cause: 'tolerance',
    });
    expect(result.bands.every((b) => b.side === 'rebound')).toBe(true);
    expect(judge({ spec: aSpec({ tolerance: {} }) }).verdict).toBe('undecided');
  });

  it('fails on an unwaived error though every point passes, and not once it is waived', () => {
    const provenance = { kind: 'altered', line: 22, was: '1', expected: '2' } as const;
    const failed = judge({ provenance });
    expect(failed.verdict).toBe('fail');
    expect(failed.reasons).toEqual(['result does not follow from its log']);
    expect(verdictSentence(failed)).toBe('F-017 build 2 FAIL: result does not follow from its log');
    const waivers = [aWaiver({ rule: 'result-altered', file: 'dampers/F-017/**' })];
    const waived = judge({ provenance, config: aConfig({ waivers }) });
    expect(waived.verdict).toBe('pass');
    expect(waived.findings[0]).toMatchObject({
      rule: 'result-altered',
      waived: { by: 'the workshop', until: '2026-06-30' },
    });
  });

  it('keeps a failed point failed though its finding is waived', () => {
    const waivers = [aWaiver({ rule: 'drift-from-reference', file: '**' })];
    const result = judge({ table: aResult({ drift: () => 900 }), config: aConfig({ waivers }) });
    expect(result.verdict).toBe('fail');
    expect(result.findings.every((f) => f.rule !== 'drift-from-reference' || f.waived !== undefined)).toBe(true);
  });

  it('words an undecided result by the purpose of the spec', () => {
    const table = aResult({ drift: (side, v) => (side === 'rebound' && v === 0.5 ? 77 : 0), U: 5 });
    const release = judge({ table });
    const scrutineering = judge({ table, spec: aSpec({ purpose: 'scrutineering' }) });
    expect(verdictSentence(release)).toMatch(
      /^F-017 build 2 UNDECIDED: 99.4 % of tolerance, rebound at 500 mm\/s, softer, at R 6$/,
    );
    expect(verdictSentence(scrutineering)).toMatch(/^F-017 build 2 NOT SHOWN TO BE OUT: /);
    expect(verdictAdvice(release)).toContain('Do not ship');
    expect(verdictAdvice(scrutineering)).toContain('not excluded');
    expect(scrutineering.findings.find((f) => f.rule === 'drift-undecided')!.next).toMatch(
      /^Not shown to be out\. Retest/,
    );
  });

  it('counts attempts and says where bench uncertainty is missing', () => {
    const table = aResult();
    const bare = { ...table, result: { ...table.result!, benchIncluded: false } };
    expect(verdictSentence(judge({ table: bare, attempt: 3 }))).toMatch(
      /PASS: .*\(third test of this build and bench uncertainty not included\)$/,
    );
  });

  it('tells repeated runs of one build apart', () => {
    const table = aResult();
    expect(verdictSentence(judge({ table: { ...table, result: { ...table.result!, run: 2 } } }))).toMatch(
      /^F-017 build 2 run 2 PASS/,
    );
  });

  it('gives the same result for the same input, and leaves the input alone', () => {
    const table = aResult({ drift: (_, v) => 100 * v });
    const copy = structuredClone(table);
    expect(judge({ table })).toEqual({ ...judge({ table }), spec: expect.anything() as unknown });
    expect(table).toEqual(copy);
  });
});

describe('the reference', () => {
  it('is found by adjuster id, whatever the order of its columns', () => {
    const reference = aReference();
    const turned = {
      ...reference,
      adjusters: [...reference.adjusters].reverse(),
      rows: reference.rows.map((row) => ({ ...row, setting: [...row.setting].reverse() })),
    };
    expect(judge({ reference: turned }).verdict).toBe('pass');
  });

  it('is read at the achieved speed, not at the planned one', () => {
    const row = (r: ReturnType<typeof aResult>['rows'][number]) => ({
      ...r,
      compression: 375 + referenceDamping('compression', r.velocity * 1.02),
      measured: { ...r.measured!, compressionVelocity: r.velocity * 1.02 },
    });
    const result = judge({ table: aResult({ row }) });
    for (const point of result.points) expect(Math.abs(point.drift!)).toBeLessThan(1e-9);
  });

  it('reaches 3 % or 5 mm/s beyond its ends, with an uncertainty of its own, and no farther', () => {
    const at = (speed: number) => {
      const row = (r: ReturnType<typeof aResult>['rows'][number]) =>
        r.velocity === 1.0
          ? { ...r, measured: { ...r.measured!, compressionVelocity: speed, reboundVelocity: speed } }
          : r;
      return judge({ table: aResult({ row }) }).points.filter((p) => p.velocity === 1.0);
    };
    for (const point of at(1.029)) {
      expect(point.reference).toBeCloseTo(referenceDamping(point.side, 1.029), 6);
      expect(point.driftUncertainty).toBeGreaterThan(point.uncertainty);
    }
    for (const point of at(1.031)) expect(point).toMatchObject({ verdict: 'undecided', cause: 'range' });
    expect(at(1.0)[0]!.driftUncertainty).toBeCloseTo(2, 12);
  });

  it('holds each repeat of a speed against it', () => {
    const table = aResult();
    const again = { ...table.rows[3]!, pass: 2, compression: table.rows[3]!.compression + 300, line: 99 };
    const result = judge({ table: { ...table, rows: [...table.rows, again] } });
    expect(result.points.filter((p) => p.velocity === 0.4 && p.side === 'compression').map((p) => p.verdict)).toEqual([
      'pass',
      'fail',
    ]);
  });

  it('takes the constant force of each side off, whatever it is', () => {
    const table = aResult();
    const shifted = {
      ...table,
      gas: { ...table.gas!, force: 475, source: 'constant' as const },
      rows: table.rows.map((r) => ({ ...r, compression: r.compression + 100, rebound: r.rebound + 100 })),
    };
    expect(judge({ table: shifted }).points.every((p) => Math.abs(p.drift!) < 1e-9)).toBe(true);
  });

  it.each([
    ['stroke', { basis: { drive: 'sine', stroke: 0.0511, midPosition: 0.035 } }],
    ['mid position', { basis: { drive: 'sine', stroke: 0.05, midPosition: 0.0401 } }],
    ['drive', { basis: { drive: 'triangle', stroke: 0.05, midPosition: 0.035 } }],
  ] as const)('leaves everything undecided where the %s differs', (what, changes) => {
    const result = judge({ table: aResult({ changes }) });
    expect(result.verdict).toBe('undecided');
    expect(result.points.every((p) => p.cause === 'basis' && p.reason!.includes(what))).toBe(true);
  });

  it.each([
    ['stroke', { basis: { drive: 'sine', stroke: 0.0509, midPosition: 0.035 } }],
    ['mid position', { basis: { drive: 'sine', stroke: 0.05, midPosition: 0.0399 } }],
  ] as const)('compares where the %s is near enough', (_, changes) => {
    expect(judge({ table: aResult({ changes }) }).verdict).toBe('pass');
  });

  it('names what is not stated and compares the rest', () => {
    const result = judge({ reference: aReference({ basis: { drive: 'sine' } }) });
    expect(result.verdict).toBe('pass');
    expect(result.notCompared).toEqual(['mid position (reference)', 'place of the temperature sensor (reference)']);
    expect(result.findings).toHaveLength(1);
    expect(result.findings[0]).toMatchObject({ rule: 'test-basis-differs', level: 'note' });
  });
});

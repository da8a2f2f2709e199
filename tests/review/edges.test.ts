import { describe, expect, it } from 'vitest';
import { settingOfRow } from '../../src/review/referenceCurves';
import { aLog, anAnalysis } from './logScenario';
import {
  ADJUSTERS,
  aReference,
  aResult,
  aSpec,
  BENCH,
  DELIVERY,
  judge,
  judgeWithout,
  VELOCITIES,
  without,
} from './scenario';

const rulesOf = (...input: Parameters<typeof judge>): readonly string[] => judge(...input).findings.map((f) => f.rule);
const measured = (changes: Parameters<typeof anAnalysis>[0]) => ({
  provenance: { kind: 'measured' as const },
  logs: [aLog()],
  table: aResult({ firstLine: 0 }),
  analysis: anAnalysis(changes),
});

describe('references', () => {
  it('count by their first pass', () => {
    const reference = aReference();
    const again = reference.rows.map((row) => ({
      ...row,
      pass: 2,
      compression: row.compression + 500,
      line: row.line + 50,
    }));
    expect(judge({ reference: { ...reference, rows: [...again, ...reference.rows] } }).verdict).toBe('pass');
  });

  it.each([
    [
      'an adjuster that the test does not state',
      { table: aResult({ changes: { adjusters: ADJUSTERS.slice(0, 2) }, row: (r) => ({ ...r, setting: [8, 3] }) }) },
      'The position of R is not stated, and the reference depends on it.',
    ],
    [
      'an adjuster that the reference does not name',
      {
        reference: aReference({
          adjusters: ADJUSTERS.slice(0, 2),
          rows: aReference().rows.map((r) => ({ ...r, setting: [8, 3] })),
        }),
      },
      'The reference does not say at which R it stands.',
    ],
    [
      'another unit',
      { reference: aReference({ adjusters: ADJUSTERS.map((a) => ({ ...a, unit: 'turn' })) }) },
      'Test and reference count LSC, HSC and R in different units.',
    ],
    [
      'a position that one row does not state',
      { table: aResult({ row: (r) => ({ ...r, setting: [8, 3, NaN] }) }) },
      'The position of R is not stated.',
    ],
  ] as const)('are not guessed at with %s', (_, changes, reason) => {
    const result = judge(changes);
    expect(result.verdict).toBe('undecided');
    expect(new Set(result.points.map((p) => p.reason))).toEqual(new Set([reason]));
    expect(result.points.every((p) => p.cause === 'setting' && p.drift === undefined)).toBe(true);
  });

  it('need a constant force on both sides', () => {
    const bare = without(aReference(), 'gas');
    const noReferenceGas = judge({ reference: bare });
    expect(new Set(noReferenceGas.points.map((p) => p.cause))).toEqual(new Set(['constant force']));
    expect(noReferenceGas.findings.find((f) => f.rule === 'test-basis-differs')!.message).toContain(
      'constant force of the reference',
    );
    const table = without(aResult(), 'gas');
    expect(judge({ table }).points.every((p) => p.cause === 'constant force' && p.damping === undefined)).toBe(true);
    const perRow = { ...bare, rows: bare.rows.map((row) => ({ ...row, gas: 375 })) };
    expect(judge({ reference: perRow }).verdict).toBe('pass');
  });

  it('of one row stand for the speeds close to it', () => {
    const one = aReference({ rows: aReference().rows.filter((r) => r.velocity === 0.5) });
    const points = judge({ reference: one, table: aResult({ velocities: [0.5, 0.6] }) }).points;
    expect(points.map((p) => p.verdict)).toEqual(['pass', 'pass', 'undecided', 'undecided']);
  });

  it('may fall with speed where the spec calls the side regressive', () => {
    const reference = aReference({
      rows: aReference().rows.map((r) => (r.velocity === 1 ? { ...r, compression: 1500 } : r)),
    });
    expect(rulesOf({ reference })).toContain('reference-not-monotonic');
    const spec = aSpec({ hardware: { ...aSpec().hardware, valving: { compression: 'regressive' } } });
    expect(rulesOf({ reference, spec })).not.toContain('reference-not-monotonic');
  });

  it('absent leave everything undecided, with one note', () => {
    const result = judgeWithout(['reference']);
    expect(result.verdict).toBe('undecided');
    expect(result.findings.map((f) => f.rule)).toEqual(['reference-missing']);
    expect(result.points.every((p) => p.cause === 'reference')).toBe(true);
    expect(result.worst).toBeUndefined();
  });
});

describe('gas', () => {
  const low = { source: 'fit' as const, force: 300, u: 2, temperature: 304.15 };
  const spec = aSpec({ tolerance: { gasForce: 20 } });

  it.each(['mounted', 'unknown'] as const)('is not judged with the load cell zeroed %s', (forceZero) => {
    const input = measured({ changes: { gas: low } });
    const table = { ...input.table, basis: { ...input.table.basis, forceZero } };
    expect(rulesOf({ ...input, spec, table })).not.toContain('gas-force-low');
  });

  it('is not judged without its tolerance, nor from a constant force of unknown nature', () => {
    expect(rulesOf({ ...measured({ changes: { gas: low } }) })).not.toContain('gas-force-low');
    const none = { source: 'none' as const, force: 300, u: 2, temperature: 304.15, reason: 'needs a creep step' };
    const result = judge({ ...measured({ changes: { gas: none } }), spec });
    expect(result.findings.map((f) => f.rule)).not.toContain('gas-force-low');
    expect(result.gas).toMatchObject({ source: 'none', reason: 'needs a creep step' });
  });

  it('is held against its least value where the squeeze is not known, and then never called high', () => {
    const basis = without(aResult().basis, 'midPosition');
    const at = (force: number) => {
      const input = measured({ changes: { gas: { ...low, force } } });
      return rulesOf({ ...input, spec, table: { ...input.table, basis } });
    };
    // 13.01 bar absolute at 31 °C is 13.50 bar, less 1.01 bar on 254.5 mm2: 317.8 N at full extension
    expect(at(285)).toContain('gas-force-low');
    expect(at(310)).not.toContain('gas-force-low');
    expect(at(600)).not.toContain('gas-force-high');
  });

  it('is shown with what is expected where one number can be named', () => {
    expect(judge(measured({})).gas!.expected).toBeGreaterThan(300);
    expect(judge({ ...measured({}), spec: aSpec({ hardware: { gas: 'none', rod: 0.018 } }) }).gas!.expected).toBe(0);
  });
});

describe('loop findings', () => {
  const drops = [
    {
      setting: DELIVERY,
      side: 'compression' as const,
      share: 0.2,
      displacement: 0.01,
      width: 0.009,
      key: { log: 0, step: 7 },
    },
  ];

  it('at high acceleration are notes where the moving mass of the bench is not stated', () => {
    // 1 m/s on 25 mm is 40 m/s2
    const input = measured({ changes: { drops } });
    expect(judge(input).findings.find((f) => f.rule === 'loop-drop')!.level).toBe('note');
    expect(judge({ ...input, bench: BENCH }).findings.find((f) => f.rule === 'loop-drop')!.level).toBe('error');
    const slow = [{ ...drops[0]!, key: { log: 0, step: 5 } }];
    expect(judge(measured({ changes: { drops: slow } })).findings.find((f) => f.rule === 'loop-drop')!.level).toBe(
      'error',
    );
  });

  it('of one side are one finding, with the other steps beside it', () => {
    const lags = [3, 4, 5].map((step) => ({
      key: { log: 0, step },
      setting: DELIVERY,
      side: 'rebound' as const,
      lag: 0.002,
      hysteresis: 10 + step,
    }));
    const found = judge(measured({ changes: { lags } })).findings.filter((f) => f.rule === 'hysteresis-high');
    expect(found).toHaveLength(1);
    expect(found[0]!.related).toHaveLength(2);
    expect(found[0]!.message).toContain('15 %');
  });

  it('of a void that one step shows need more than lag explains', () => {
    const one = {
      setting: DELIVERY,
      side: 'rebound' as const,
      length: 0.0019,
      lagCorrected: false,
      key: { log: 0, step: 2 },
      at: 'undecided' as const,
      steps: 1,
    };
    // 0.5 mm and 5 ms x 300 mm/s
    expect(rulesOf(measured({ changes: { voids: [one] } }))).not.toContain('loop-void');
    const long = judge(measured({ changes: { voids: [{ ...one, length: 0.0021 }] } })).findings.find(
      (f) => f.rule === 'loop-void',
    )!;
    expect(long.message).toContain('not corrected for lag');
    expect(long.next).toMatch(/^Check fixture, pins and rod ends first/);
  });
});

describe('what a log states of itself', () => {
  it('is held against its samples', () => {
    const logs = [aLog({ head: { basis: { stroke: 0.06, drive: 'triangle' } } })];
    const found = judge({ logs }).findings.find(
      (f) => f.rule === 'test-basis-differs' && f.file.endsWith('.testlog.csv'),
    )!;
    expect(found.message).toBe(
      'F-017 build 2: the log states stroke 60 mm, its samples show 50 mm and drive triangle, its samples show sine.',
    );
  });

  it('without a complete step is a finding, and nothing was measured', () => {
    const logs = [aLog({ reduced: { steps: [] }, events: [{ kind: 'no-step', row: 0, strokes: 1, cycles: 0 }] })];
    const result = judge({ logs, table: aResult({ velocities: [], firstLine: 0 }), provenance: { kind: 'measured' } });
    expect(result.verdict).toBe('undecided');
    expect(result.reasons).toEqual(['nothing was measured']);
    expect(result.missing).toHaveLength(VELOCITIES.length);
    const plan = result.findings.filter((f) => f.rule === 'test-plan-incomplete');
    expect(plan).toHaveLength(1);
    expect(plan[0]!.message).toContain('(1 stroke, 0 complete cycles)');
  });
});

describe('odd input', () => {
  it('never reaches the prototype by an adjuster id', () => {
    const adjusters = [
      { id: '__proto__', unit: 'click' },
      { id: 'constructor', unit: 'click' },
    ];
    const row = aResult({ row: (r) => ({ ...r, setting: [3, 4] }) });
    const table = { ...row, adjusters };
    const setting = settingOfRow(table, table.rows[0]!);
    expect(Object.entries(setting)).toEqual([
      ['__proto__', 3],
      ['constructor', 4],
    ]);
    const result = judge({
      table,
      reference: { ...aReference(), adjusters, rows: aReference().rows.map((r) => ({ ...r, setting: [3, 4] })) },
      spec: aSpec({ adjusters: [] }),
    });
    expect(result.points.every((p) => p.verdict === 'pass')).toBe(true);
  });

  it('with empty cells judges what is there and misses the rest', () => {
    const table = aResult({ row: (r) => (r.velocity === 0.5 ? { ...r, rebound: NaN } : r) });
    const result = judge({ table });
    expect(result.points).toHaveLength(2 * VELOCITIES.length - 1);
    expect(result.missing.map((m) => m.velocity)).toEqual([0.5]);
    expect(result.verdict).toBe('undecided');
  });

  it('without uncertainty is undecided, never passed', () => {
    const table = aResult({ row: (r) => without(r, 'measured') });
    const result = judge({ table });
    expect(result.verdict).toBe('undecided');
    expect(result.points.every((p) => p.cause === 'uncertainty')).toBe(true);
    expect(result.findings.filter((f) => f.rule === 'drift-undecided')).toHaveLength(2);
  });

  it('with a tolerance of nothing gives no share of it', () => {
    const nothing = { softer: { absolute: 0 }, harder: { absolute: 0 } };
    const spec = aSpec({ tolerance: { compression: nothing, rebound: nothing } });
    const result = judge({ spec, table: aResult({ drift: () => 30 }) });
    expect(result.verdict).toBe('fail');
    expect(result.points.every((p) => p.share === undefined)).toBe(true);
    for (const { message, evidence } of result.findings) {
      expect(message).not.toMatch(/NaN|Infinity|undefined/);
      expect(Object.values(evidence).every((v) => typeof v === 'string' || Number.isFinite(v))).toBe(true);
    }
  });

  it('names the file where the log does not say which unit it was', () => {
    const table = aResult({ drift: () => 900 });
    const bare = { ...table, result: { ...table.result!, serial: '', build: '' } };
    expect(judge({ table: bare }).findings[0]!.message).toMatch(/^alder-front\.result\.csv: /);
  });
});

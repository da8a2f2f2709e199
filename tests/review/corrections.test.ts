import { describe, expect, it } from 'vitest';
import type { Side } from '../../src/analysis/side';

import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import type { Adjuster, Spec } from '../../src/files/spec';
import type { Correction } from '../../src/review/correction';
import { correctResult, hasDriftToExplain } from '../../src/review/corrections';
import type { JudgedResult } from '../../src/review/judgedResult';
import { aReference, aResult, aSpec, DELIVERY, GAS, judge, referenceDamping, without } from './scenario';

/** The straight-line strut of the scenario; R takes 5 % a click off rebound, LSC 4 % off compression at low speeds. */
const POSITIONS = [0, 2, 4, 5, 6, 7, 8, 10, 12];
const VELOCITIES = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0];

function damping(side: Side, velocity: number, [lsc, , r]: readonly number[]): number {
  const force = referenceDamping(side, velocity);
  if (side === 'rebound') return force * Math.exp(-0.05 * (r! - DELIVERY[2]!));
  return force * Math.exp((-0.04 * (lsc! - DELIVERY[0]!)) / (1 + (velocity / 0.4) ** 4));
}

function rowsAt(settings: readonly (readonly number[])[]): ForceRow[] {
  return settings.flatMap((setting) =>
    VELOCITIES.map((velocity) => ({
      line: 7,
      setting,
      pass: 1,
      velocity,
      compression: GAS + damping('compression', velocity, setting),
      rebound: GAS + damping('rebound', velocity, setting),
    })),
  );
}

const LSC_SWEEP = POSITIONS.map((position) => DELIVERY.with(0, position));
const R_SWEEP = POSITIONS.map((position) => DELIVERY.with(2, position));
const SWEPT = aReference({ rows: rowsAt([...LSC_SWEEP.filter(([lsc]) => lsc !== 8), ...R_SWEEP]) });

interface Test {
  /** Magnitude of damping as tested over that of the reference. */
  readonly factor?: (side: Side, velocity: number, setting: readonly number[]) => number;
  /** Added to every force [N]. */
  readonly gas?: number;
  readonly settings?: readonly (readonly number[])[];
  readonly reference?: ForceTable;
  readonly spec?: Spec;
  readonly changes?: Partial<ForceTable>;
  readonly U?: number;
}

function tested(test: Test = {}): JudgedResult {
  const { factor = () => 1, gas = 0, settings = [DELIVERY], reference = SWEPT, spec = aSpec(), U = 2 } = test;
  const table = aResult({
    settings,
    U,
    drift: (side, velocity, setting) =>
      damping(side, velocity, setting) * factor(side, velocity, setting) - referenceDamping(side, velocity) + gas,
    changes: { gas: { force: GAS + gas, temperature: 304.15, source: 'fit' }, ...test.changes },
  });
  return judge({ table, reference, spec });
}

function texts({ conclusions }: Correction): string {
  return conclusions.map(({ text }) => text).join('\n');
}

/** Rebound of a unit whose R stands two clicks further out, and at its stop where the setting has it there. */
const twoOut = (side: Side, _: number, [, , r]: readonly number[]): number =>
  side === 'rebound' ? Math.exp(-0.05 * (Math.min(12, r! + 2) - r!)) : 1;

describe('what explains a drift', () => {
  it('leaves the judged result as it is', () => {
    const result = tested({ factor: twoOut });
    const before = structuredClone({ points: result.points, verdict: result.verdict, findings: result.findings });
    JSON.stringify(correctResult(result)); // asks for every part of it
    expect({ points: result.points, verdict: result.verdict, findings: result.findings }).toEqual(before);
    expect(result.verdict).toBe('fail');
    expect(hasDriftToExplain(result)).toBe(true);
    expect(hasDriftToExplain(tested())).toBe(false);
  });

  it('says so where there is no drift', () => {
    const correction = correctResult(tested());
    expect(correction.state).toBe('nothing');
    expect(texts(correction)).toContain('no drift beyond its uncertainty');
  });

  it('names needle and side scale together where one setting cannot tell them apart, and a sweep tells', () => {
    const [group] = correctResult(tested({ factor: twoOut })).notSeparable;
    expect([...group!].sort()).toEqual(['needle R', 'side scale rebound']);
    const sweep = correctResult(tested({ factor: twoOut, settings: R_SWEEP }));
    expect(sweep.notSeparable.flat()).not.toContain('needle R');
  });

  it('gives gas as newtons and as bar at the rod', () => {
    const correction = correctResult(tested({ gas: 50 }));
    const [term] = correction.terms;
    expect(term).toMatchObject({ cause: 'gas', unit: 'N' });
    expect(Math.abs(term!.value - 50)).toBeLessThan(term!.U);
    // 50 N on a rod of 18 mm: 1.965 bar.
    expect(term!.pressure!.value / 1e5).toBeCloseTo(1.965, 1);
    expect(correction.explained).toBeGreaterThan(0.99);
  });

  it('explains without gas known in the test, but advises no clicks then', () => {
    const result = tested({ gas: 50, changes: {} });
    const table = without({ ...result.table }, 'gas');
    const unknown = judge({ table, reference: SWEPT });
    const correction = correctResult(unknown);
    expect(correction.terms[0]!.cause).toBe('gas');
    expect(correction.advice).toBeUndefined();
    expect(correction.reasons.join(' ')).toContain('constant force of the test is not known');
  });

  it('works where no uncertainty is stated', () => {
    const correction = correctResult(tested({ factor: (side) => (side === 'rebound' ? 0.93 : 1), U: NaN }));
    expect(correction.terms[0]!.share).toBeGreaterThan(0.99);
  });

  it('tells what it cannot do: no reference, another basis, too few points', () => {
    expect(correctResult({ ...tested(), ...{ reference: undefined } } as unknown as JudgedResult).reasons[0]).toContain(
      'no reference',
    );
    const otherStroke = tested({ changes: { basis: { ...SWEPT.basis, stroke: 0.075 } } });
    expect(correctResult(otherStroke)).toMatchObject({ state: 'not possible', terms: [] });
    expect(correctResult(otherStroke).reasons[0]).toContain('stroke');
    const few = judge({ table: aResult({ velocities: [0.1, 0.2] }), reference: SWEPT });
    expect(correctResult(few).reasons[0]).toMatch(/Only 4 points/);
  });

  it('finds a sweep in committed results where the reference has none, and says where there is none at all', () => {
    const bare = aReference({ rows: rowsAt([DELIVERY]) });
    const result = tested({ factor: twoOut, reference: bare });
    const alone = correctResult(result);
    expect(alone.terms.map(({ cause }) => cause)).toEqual(['side scale rebound']);
    expect(alone.reasons[0]).toContain('The needle index of LSC, HSC and R was not tried');
    const helped = correctResult(result, [{ ...SWEPT, kind: 'result', rows: rowsAt(R_SWEEP) }]);
    expect([helped.terms[0]!.cause, ...helped.notSeparable.flat()]).toContain('needle R');
    expect(helped.reasons[0]).toContain('The needle index of LSC and HSC was not tried');
    expect(helped.advice!.groups[0]!.answers[0]!.setting).toEqual({ R: 4 });
  });

  it('counts from the open end as the spec does', () => {
    const open: Adjuster[] = aSpec().adjusters.map((one) => ({ ...one, countsFrom: 'open' }));
    const low = (side: Side, velocity: number): number =>
      side === 'compression' ? Math.exp(-0.12 / (1 + (velocity / 0.4) ** 4)) : 1;
    const closed = correctResult(tested({ factor: low }));
    const opened = correctResult(tested({ factor: low, spec: aSpec({ adjusters: open }) }));
    expect(texts(closed)).toContain('Needle zero of LSC is off by 3 clicks');
    expect(texts(closed)).toContain('further out than it says');
    expect(texts(opened)).toContain('further in than it says');
    expect(opened.terms[0]!.value).toBeCloseTo(-closed.terms[0]!.value, 9);
  });
});

describe('where in a sweep it is off', () => {
  it('at fully closed: shims', () => {
    const odd = (side: Side, velocity: number): number => (side === 'rebound' && velocity < 0.35 ? 0.8 : 1);
    expect(texts(correctResult(tested({ factor: odd, settings: R_SWEEP })))).toContain(
      'Rebound is off at fully closed (R 0), where R has no part in it: shims, take apart.',
    );
  });

  it('right closed and off open: bleed or needle', () => {
    const dead = (side: Side, _: number, [, , r]: readonly number[]): number =>
      side === 'rebound' && r! > 6 ? Math.exp(0.05 * (r! - 6)) : 1;
    expect(texts(correctResult(tested({ factor: dead, settings: R_SWEEP })))).toContain(
      'Rebound is right at fully closed (R 0) and off open: bleed or needle of R.',
    );
  });
});

describe('clicks', () => {
  it('brings a needle left out back, and leaves the rest', () => {
    const { advice } = correctResult(tested({ factor: twoOut }));
    const rebound = advice!.groups.find(({ sides }) => sides.includes('rebound'))!;
    expect(rebound).toMatchObject({ exact: true, worn: false });
    expect(rebound.answers.map(({ setting }) => setting)).toEqual([{ R: 4 }]);
    expect(rebound.answers[0]!.worst!.share).toBeLessThan(0.01);
    const compression = advice!.groups.find(({ sides }) => sides.includes('compression'))!;
    expect(compression.answers[0]!.moved).toBe(0);
  });

  it('never leaves the range, and says worn where its end does not reach', () => {
    const correction = correctResult(tested({ factor: (side) => (side === 'rebound' ? 0.55 : 1) }));
    const rebound = correction.advice!.groups.find(({ sides }) => sides.includes('rebound'))!;
    expect(rebound.worn).toBe(true);
    expect(rebound.answers[0]!.setting).toEqual({ R: 0 });
    expect(texts(correction)).toContain('worn or wrong inside');
  });

  it('advises listed positions alone', () => {
    const adjusters: Adjuster[] = aSpec().adjusters.map((one) =>
      one.id === 'R' ? { ...without(one, 'clicks'), unit: 'lb', positions: [2, 6, 7, 10] } : one,
    );
    const columns = SWEPT.adjusters.map((one) => (one.id === 'R' ? { ...one, unit: 'lb' } : one));
    const result = tested({
      factor: twoOut,
      spec: aSpec({ adjusters }),
      reference: { ...SWEPT, adjusters: columns },
      changes: { adjusters: columns },
    });
    const { groups } = correctResult(result).advice!;
    const answers = groups.find(({ sides }) => sides.includes('rebound'))!.answers;
    for (const { setting } of answers) expect([2, 6, 7, 10]).toContain(setting['R']);
  });

  it('lists every answer where the test cannot tell them apart', () => {
    const correction = correctResult(tested({ factor: twoOut, U: 400 }));
    const rebound = correction.advice!.groups.find(({ sides }) => sides.includes('rebound'))!;
    expect(rebound.exact).toBe(false);
    const positions = rebound.answers.map(({ setting }) => setting['R']!);
    expect(positions.length).toBeGreaterThan(2);
    expect(positions).toContain(4);
    expect(new Set(positions).size).toBe(positions.length);
  });

  it('has signs that fit: softer by a needle that stands out', () => {
    const { terms } = correctResult(tested({ factor: twoOut, settings: R_SWEEP }));
    expect(terms[0]).toMatchObject({ cause: 'needle R', unit: 'click' });
    expect(Math.abs(terms[0]!.value - 2)).toBeLessThan(0.3);
  });
});

import { describe, expect, it } from 'vitest';
import type { Side } from '../../../src/analysis/side';
import type { AdjusterReview } from '../../../src/review/adjusters/adjusterReview';
import { energyOfStep } from '../../../src/review/adjusters/adjusterWording';
import type { JudgedResult } from '../../../src/review/judgedResult';
import { VELOCITIES } from '../scenario';
import type { MadeSetting, SweepOptions } from './sweepScenario';
import { click, closedSweep, hard, judgeSweep, openSweep, sweepReference } from './sweepScenario';

const R = click('R', 10, { side: 'rebound' });
/** Rebound falls by 4 % a click, compression stays. */
const even = (side: Side, v: number, { at }: MadeSetting): number =>
  hard(side, v) * (side === 'rebound' ? Math.exp(-0.04 * at[0]!) : 1);
/** Click from 5 to 6 is `factor` times the others. */
const withStep =
  (factor: number) =>
  (side: Side, v: number, setting: MadeSetting): number =>
    even(side, v, { at: [setting.at[0]! + (setting.at[0]! > 5 ? factor - 1 : 0)] });
const sweep = (damping: SweepOptions['damping'], more: Partial<SweepOptions> = {}): SweepOptions => ({
  adjusters: [R],
  settings: closedSweep(10),
  damping,
  ...more,
});
const LIMITS = { least: 0.5, most: 1.5, law: 'equal-ratio' } as const;

function only(result: JudgedResult): AdjusterReview {
  expect(result.adjusters?.sweeps.length).toBe(1);
  return result.adjusters!.sweeps[0]!;
}
const raised = (result: JudgedResult, rule: string) => result.findings.filter((f) => f.rule === rule);

describe('click steps', () => {
  it('takes ratios exactly from forces that are known, and finds the uneven one with its numbers', () => {
    const result = judgeSweep(sweep(withStep(1.8)), LIMITS);
    const { steps, medianStep, judging } = only(result);
    expect(judging).toBe('judged');
    for (const [i, step] of steps.entries()) expect(step.ratio).toBeCloseTo(i === 5 ? 1.8 : 1, 6);
    expect(medianStep).toBeCloseTo(0.04, 6);
    const [finding, ...more] = raised(result, 'click-step-uneven');
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ level: 'error', side: 'rebound' });
    expect(finding!.message).toContain(
      'R from 5 to 6 clicks is 180 % of the median step a click (limits 50 % to 150 %, U',
    );
    expect(finding!.evidence).toMatchObject({ adjuster: 'R', from: 5, to: 6, ratio_percent: 180, steps: 1 });
    // The row of R 6: header 19, eight speeds a setting.
    expect(finding!.position.line).toBe(20 + 6 * VELOCITIES.length);
    expect(result.verdict).toBe('fail');
  });

  it('is silent on an even sweep, inside the limits, and without `tolerance.clickStep`', () => {
    expect(raised(judgeSweep(sweep(even), LIMITS), 'click-step-uneven')).toEqual([]);
    expect(raised(judgeSweep(sweep(withStep(1.45)), LIMITS), 'click-step-uneven')).toEqual([]);
    const free = judgeSweep(sweep(withStep(3)), undefined);
    expect(raised(free, 'click-step-uneven')).toEqual([]);
    expect(only(free).limits).toBeUndefined();
    expect(only(free).steps[5]!.ratio).toBeCloseTo(3, 1);
  });

  it('holds a step against 65 to 130 % where the spec names no limits', () => {
    const result = judgeSweep(sweep(withStep(1.45)), { law: 'equal-ratio' });
    expect(raised(result, 'click-step-uneven')[0]!.message).toContain('limits 65 % to 130 %');
  });

  it('is a note that says so where no setting was run again', () => {
    const settings = openSweep([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    const result = judgeSweep(sweep(withStep(1.8), { settings }), LIMITS);
    const [finding] = raised(result, 'click-step-uneven');
    expect(finding!.level).toBe('note');
    expect(finding!.message).toContain('Outside the limits, significance not judged, as no setting was run again.');
    expect(only(result).closure).toBeUndefined();
    expect(result.findings.filter((f) => f.level === 'error')).toEqual([]);
  });

  it('finds nothing where the median step is under 3 u, and says why', () => {
    const result = judgeSweep(sweep(withStep(1.8), { u: 0.08 }), LIMITS);
    expect(only(result).judging).toBe('steps too small');
    expect(raised(result, 'click-step-uneven')).toEqual([]);
  });

  it('allows a law of equal force, and tells the median step in newtons', () => {
    const linear = (side: Side, v: number, { at }: MadeSetting): number =>
      side === 'rebound' ? hard(side, v) - 12 * at[0]! : hard(side, v);
    const result = judgeSweep(sweep(linear), { ...LIMITS, law: 'equal' });
    for (const step of only(result).steps) expect(step.ratio).toBeCloseTo(1, 6);
    expect(only(result).medianStep).toBeCloseTo(12, 6);
    const ratio = only(judgeSweep(sweep(linear), LIMITS));
    expect(ratio.steps.at(-1)!.ratio / ratio.steps[0]!.ratio).toBeGreaterThan(1.1);
  });

  it("holds steps against the reference's own, as-reference", () => {
    const bleed = (side: Side, v: number, { at }: MadeSetting): number =>
      side === 'rebound' ? hard(side, v) * Math.exp(-0.3 * Math.sqrt(at[0]!)) : hard(side, v);
    const asReference = { ...LIMITS, law: 'as-reference' } as const;
    const same = judgeSweep(sweep(bleed), asReference, { reference: sweepReference(sweep(bleed)) });
    for (const step of only(same).steps) expect(step.ratio).toBeCloseTo(1, 6);
    expect(raised(same, 'click-step-uneven')).toEqual([]);
    const worn = judgeSweep(
      sweep((side, v, setting) => bleed(side, v, setting) * (side === 'rebound' && setting.at[0]! > 4 ? 0.9 : 1)),
      asReference,
      { reference: sweepReference(sweep(bleed)) },
    );
    expect(raised(worn, 'click-step-uneven')[0]!.message).toContain("of the reference's own step");
    expect(raised(worn, 'click-step-uneven')[0]!.evidence).toMatchObject({ from: 4, to: 5 });
    expect(only(judgeSweep(sweep(bleed), asReference)).judging).toBe('no reference sweep');
  });

  it('is per unit of the adjuster, never per row', () => {
    const settings = [...openSweep([0, 1, 2, 5, 6, 10]), { at: [0], pass: 2 }];
    const result = judgeSweep(sweep(even, { settings }), LIMITS);
    for (const step of only(result).steps) expect(step.ratio).toBeCloseTo(1, 6);
    expect(only(result).steps.map(({ from, to }) => [from, to])).toEqual([
      [0, 1],
      [1, 2],
      [2, 5],
      [5, 6],
      [6, 10],
    ]);
  });
});

describe('the count of positions', () => {
  const positions = [22, 25, 35, 80];
  const tension = (side: Side, v: number, { at }: MadeSetting): number =>
    hard(side, v) * Math.exp(0.01 * (at[0]! - 80));
  const adjuster = { id: 'T', unit: 'lb', positions, countsFrom: 'open', acts: { side: 'both' } } as const;
  const options: SweepOptions = {
    adjusters: [adjuster],
    settings: [...openSweep(positions), { at: [22], pass: 2 }],
    damping: tension,
    energy: (_, { at }) => 100 + 3 * at[0]!,
  };

  it('may run from the open stop over listed positions of any unit, on both sides', () => {
    const review = only(judgeSweep(options, LIMITS));
    expect(review).toMatchObject({ unit: 'lb', side: 'both', reversed: false, judging: 'judged' });
    expect(review.steps.map(({ from, to }) => [from, to])).toEqual([
      [22, 25],
      [25, 35],
      [35, 80],
    ]);
    for (const step of review.steps) {
      expect(step.ratio).toBeCloseTo(1, 6);
      expect(energyOfStep(review, step)).toBeCloseTo(3, 9);
    }
    expect(review.details.crossTalk).toBeUndefined();
  });

  it('is a finding where the adjuster works against it, over the whole sweep', () => {
    const result = judgeSweep({ ...options, adjusters: [{ ...adjuster, countsFrom: 'closed' }] }, LIMITS);
    expect(only(result).reversed).toBe(true);
    const [finding] = raised(result, 'click-wrong-way');
    expect(finding!.level).toBe('error');
    expect(finding!.message).toContain('opening T makes compression and rebound harder over the whole sweep');
    expect(finding!.message).toContain('countsFrom: open');
    expect(raised(judgeSweep(options, LIMITS), 'click-wrong-way')).toEqual([]);
  });
});

describe('wrong way', () => {
  it('names the step, beyond its uncertainty only', () => {
    const [finding] = raised(judgeSweep(sweep(withStep(-0.6)), LIMITS), 'click-wrong-way');
    expect(finding!.message).toContain('opening R from 5 to 6 clicks makes rebound harder, by 60 % of a median step');
    expect(raised(judgeSweep(sweep(withStep(-0.6), { u: 0.02 }), LIMITS), 'click-wrong-way')).toEqual([]);
    expect(raised(judgeSweep(sweep(withStep(0.02)), LIMITS), 'click-wrong-way')).toEqual([]);
  });
});

describe('dead range', () => {
  const dead =
    (from: number) =>
    (side: Side, v: number, { at }: MadeSetting) =>
      even(side, v, { at: [Math.min(at[0]!, from)] });

  it('is found to the click, and holds no step against the rest', () => {
    const result = judgeSweep(sweep(dead(6)), LIMITS);
    expect(only(result).deadFrom).toBe(6);
    const [finding] = raised(result, 'adjuster-dead-range');
    expect(finding!.level).toBe('error');
    expect(finding!.message).toContain('R from 6 to 10 clicks does not move rebound; before that it moves 4 % a click');
    expect(raised(result, 'click-step-uneven')).toEqual([]);
    expect(raised(judgeSweep(sweep(even), LIMITS), 'adjuster-dead-range')).toEqual([]);
  });

  it('is none where the reference does nothing there either', () => {
    const law = { ...LIMITS, law: 'as-reference' } as const;
    const reference = sweepReference(sweep(dead(6)));
    expect(raised(judgeSweep(sweep(dead(6)), law, { reference }), 'adjuster-dead-range')).toEqual([]);
    const worse = judgeSweep(sweep(dead(3)), law, { reference });
    expect(only(worse).deadFrom).toBe(3);
  });

  it('may be the whole adjuster', () => {
    const result = judgeSweep(
      sweep((side, v) => hard(side, v)),
      LIMITS,
    );
    expect(only(result).judging).toBe('no effect');
    expect(raised(result, 'adjuster-dead-range')[0]!.message).toContain(
      'R from 0 to 10 clicks moves rebound nowhere beyond the uncertainty of the points',
    );
    expect(result.findings.map((f) => f.message).join()).not.toMatch(/NaN|Infinity/);
  });
});

describe('cross-talk', () => {
  const leaking =
    (share: number) =>
    (side: Side, v: number, { at }: MadeSetting) =>
      side === 'rebound' ? 900 * (1 - 0.03 * at[0]!) + 400 * v : 700 + 300 * v - share * 27 * at[0]!;
  const limited = (side: 'rebound' | 'both') => ({ adjusters: [click('R', 10, { side, crossLimit: 0.1 })] });

  it('is the other side over its own, held against the limit of the spec', () => {
    const over = judgeSweep(sweep(leaking(0.16), limited('rebound')), LIMITS);
    expect(only(over).details.crossTalk!.share).toBeCloseTo(0.16, 6);
    const [finding] = raised(over, 'adjuster-crosstalk');
    expect(finding).toMatchObject({ level: 'warning', side: 'compression' });
    expect(finding!.message).toContain('R moves compression by 16 % of what it moves rebound (limit 10 %)');
    expect(raised(judgeSweep(sweep(leaking(0.09), limited('rebound')), LIMITS), 'adjuster-crosstalk')).toEqual([]);
  });

  it('is none without a limit, of an adjuster for both sides, and inside its uncertainty', () => {
    expect(raised(judgeSweep(sweep(leaking(0.16)), LIMITS), 'adjuster-crosstalk')).toEqual([]);
    expect(raised(judgeSweep(sweep(leaking(0.9), limited('both')), LIMITS), 'adjuster-crosstalk')).toEqual([]);
    const noisy = sweep(leaking(0.12), { ...limited('rebound'), u: 0.03 });
    expect(raised(judgeSweep(noisy, LIMITS), 'adjuster-crosstalk')).toEqual([]);
  });
});

describe('closure', () => {
  const warming = (loss: number) => (side: Side, v: number, setting: MadeSetting) =>
    withStep(1.8)(side, v, setting) * (setting.pass === 2 ? 1 - loss : 1);

  it('withholds findings of steps where the first setting does not come back', () => {
    const result = judgeSweep(sweep(warming(0.02)), LIMITS);
    const [finding] = raised(result, 'sweep-not-closed');
    expect(finding!.level).toBe('warning');
    expect(finding!.message).toContain('at 0 clicks run again');
    expect(finding!.message).toContain('is 2 % softer');
    // The last block of rows holds the second run.
    expect(finding!.position.line).toBe(20 + 11 * VELOCITIES.length);
    expect(only(result).judging).toBe('not closed');
    for (const rule of ['click-step-uneven', 'click-wrong-way', 'adjuster-dead-range'])
      expect(raised(result, rule)).toEqual([]);
  });

  it('allows a difference within U', () => {
    // U of a difference: 2 x 0.3 % x sqrt 2 = 0.85 %
    const result = judgeSweep(sweep(warming(0.008)), LIMITS);
    expect(raised(result, 'sweep-not-closed')).toEqual([]);
    expect(only(result).closure).toMatchObject({ closed: true, position: 0 });
    expect(raised(result, 'click-step-uneven').length).toBe(1);
  });
});

describe('several sweeps of one run', () => {
  const low = (v: number): number => 1 / (1 + (v / 0.35) ** 5);
  const four = ['LSC', 'HSC', 'LSR', 'HSR'];
  const adjusters = four.map((id) => click(id, 8, { side: id.endsWith('C') ? 'compression' : 'rebound' }));
  const base = [4, 4, 4, 4];
  const settings = four
    .flatMap((_, column) => closedSweep(8, column, base))
    .filter((one, i, all) => all.findIndex((o) => o.at.join() === one.at.join() && o.pass === one.pass) === i);
  const damping =
    (high: (v: number) => number) =>
    (side: Side, v: number, { at }: MadeSetting): number => {
      const [slow, fast] = side === 'compression' ? [at[0]!, at[1]!] : [at[2]!, at[3]!];
      return hard(side, v) * Math.exp(-0.04 * (slow * low(v) + fast * high(v)));
    };

  it('tells the adjusters of a four-way damper apart, each with the others held', () => {
    const { adjusters: found } = judgeSweep({ adjusters, settings, damping: damping((v) => 1 - low(v)) }, LIMITS);
    expect(found!.sweeps.map(({ id, details }) => [id, details.reach!.acts])).toEqual([
      ['LSC', 'low speeds'],
      ['HSC', 'high speeds'],
      ['LSR', 'low speeds'],
      ['HSR', 'high speeds'],
    ]);
    expect(found!.sweeps[0]!.held).toEqual({ HSC: 4, LSR: 4, HSR: 4 });
    expect(found!.separability!.notSeparable).toEqual([]);
    expect(found!.separability!.condition).toBeLessThan(5);
  });

  it('says which adjusters the points cannot tell apart', () => {
    const alike = (v: number): number => low(v) * (1 + 0.01 * v);
    const { adjusters: found } = judgeSweep({ adjusters, settings, damping: damping(alike) }, LIMITS);
    expect(found!.separability!.condition).toBeGreaterThan(30);
    expect(found!.separability!.notSeparable).toEqual(four);
  });

  it('judges a result without sweeps as before', () => {
    const one = judgeSweep({ adjusters, settings: [{ at: base }], damping: damping(low) }, LIMITS);
    expect(one.adjusters).toBeUndefined();
  });
});

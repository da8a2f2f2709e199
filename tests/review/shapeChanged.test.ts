import { describe, expect, it } from 'vitest';
import { shapeOfSide } from '../../src/analysis/shape/sideShape';
import type { Side } from '../../src/analysis/side';
import { SIDE_SIGN } from '../../src/analysis/side';
import type { ForceTable } from '../../src/files/forceTable';
import type { JudgedResult } from '../../src/review/judgedResult';
import { settingOfRow } from '../../src/review/referenceCurves';
import { staysDigressive } from '../../src/review/staysDigressive';
import type { ValveLaw } from '../simulator/damper';
import { kneeValve } from '../simulator/damper';
import type { RandomSource } from '../simulator/random';
import { createRandom } from '../simulator/random';
import { randomDamper } from '../simulator/randomCases';
import { aReference, aResult, aSpec, DELIVERY, GAS, judge } from './scenario';
import { thorough } from '../thorough';

const UNITS = thorough ? 1_500 : 120;
const CHANGED = thorough ? 400 : 40;
const EIGHT = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.3];
const FIFTEEN = Array.from({ length: 15 }, (_, i) => (i + 1) / 10);
const STAIRCASE = [0.025, 0.05, ...Array.from({ length: 10 }, (_, i) => (i + 1) / 10)];
const PLANS = [EIGHT, FIFTEEN, STAIRCASE];

type Valves = Readonly<Record<Side, ValveLaw>>;

/** How one test of a healthy unit differs from the next: unit, run, load cell's zero, temperature and point scatter, as benches and valves have them (common practice). */
function tested(valves: Valves, friction: number, speeds: readonly number[], random: RandomSource): ForceTable {
  const zero = 2 * random.normal();
  const warmth = 1 - 0.0015 * 3 * random.normal();
  const rub = friction + 1.5 * random.normal();
  const gain = { compression: 1 + 0.006 * random.normal(), rebound: 1 + 0.006 * random.normal() };
  const scatter = 0.003;
  const force = (side: Side, v: number): number =>
    (valves[side](v) * gain[side] * warmth * (1 + scatter * random.normal()) + rub + random.normal()) * SIDE_SIGN[side];
  const table = aResult({ velocities: speeds });
  return {
    ...table,
    rows: table.rows.map((row) => {
      const compression = force('compression', row.velocity);
      const rebound = force('rebound', row.velocity);
      const U = (size: number): number => 2 * Math.hypot(scatter * size, 1, 2);
      return {
        ...row,
        compression: GAS + compression + zero,
        rebound: GAS + rebound + zero,
        measured: { ...row.measured!, compressionU: U(compression), reboundU: U(rebound) },
      };
    }),
  };
}

function asReference(table: ForceTable): ForceTable {
  const rows = table.rows.map(({ line, setting, pass, velocity, compression, rebound }) => ({
    line,
    setting,
    pass,
    velocity,
    compression,
    rebound,
  }));
  return aReference({ rows });
}

function judged(
  test: ForceTable,
  reference: ForceTable,
  valving?: { compression?: string; rebound?: string },
): JudgedResult {
  const spec = aSpec();
  return judge({
    table: test,
    reference: asReference(reference),
    spec: { ...spec, hardware: { ...spec.hardware, ...(valving && { valving }) } },
  });
}

const changes = (result: JudgedResult) => result.findings.filter((finding) => finding.rule === 'shape-changed');

/** A straight line through the forces of a valve at half and at full speed of the plan. */
function straightened(valve: ValveLaw, top: number): ValveLaw {
  const end = valve(top);
  return (speed) => 30 + ((end - 30) * speed) / top;
}

describe('shape-changed', () => {
  it(`is silent on ${UNITS} healthy units held against a healthy unit of their kind and the valving that they were built with`, () => {
    const random = createRandom(20_261_125);
    const found: string[] = [];
    let named = 0;
    for (let unit = 0; unit < UNITS; unit++) {
      const { valves, friction } = randomDamper(random);
      const speeds = random.pick(PLANS);
      const reference = tested(valves, friction, speeds, random);
      const built = (side: Side): string =>
        shapeOfSide(
          speeds,
          speeds.map((v) => valves[side](v) + friction),
        ).kind;
      const valving = { compression: built('compression'), rebound: built('rebound') };
      const result = judged(tested(valves, friction, speeds, random), reference, valving);
      if (result.shape?.piston !== undefined) named++;
      found.push(...changes(result).map(({ message }) => message));
    }
    expect(named).toBe(UNITS);
    expect(found).toEqual([]);
  });

  it('finds a side that was digressive and is a straight line now, on that side alone', () => {
    const random = createRandom(7);
    let right = 0;
    for (let unit = 0; unit < CHANGED; unit++) {
      const law = {
        preload: random.uniform(300, 900),
        kneeSpeed: random.uniform(0.1, 0.25),
        slope: random.uniform(200, 800),
      };
      const valves = { compression: kneeValve(law), rebound: kneeValve({ ...law, preload: 1.6 * law.preload }) };
      const side = random.pick(['compression', 'rebound'] as const);
      const speeds = random.pick(PLANS);
      const built = { ...valves, [side]: straightened(valves[side], speeds.at(-1)!) };
      const result = judged(tested(built, 20, speeds, random), tested(valves, 20, speeds, random));
      const sides = changes(result).map((finding) => finding.side);
      if (sides.length === 1 && sides[0] === side) right++;
    }
    expect(right / CHANGED).toBeGreaterThanOrEqual(0.95);
  });

  it('holds the curve against the valving that the spec names, and says which of both it is not', () => {
    const random = createRandom(11);
    const valves = {
      compression: kneeValve({ preload: 520, kneeSpeed: 0.15, slope: 620 }),
      rebound: (speed: number) => 40 + 1500 * speed,
    };
    const table = tested(valves, 20, STAIRCASE, random);
    const reference = tested(valves, 20, STAIRCASE, random);
    const right = judged(table, reference, { compression: 'digressive', rebound: 'linear' });
    expect(changes(right)).toEqual([]);
    expect(right.shape).toMatchObject({ piston: 'digressive/linear', setting: { LSC: 8, HSC: 3, R: 6 } });
    const wrong = changes(judged(table, reference, { compression: 'linear', rebound: 'progressive' }));
    expect(wrong.map(({ side }) => side)).toEqual(['compression', 'rebound']);
    expect(wrong[0]!.message).toMatch(
      /compression is digressive, knee at \d+ ± \d+(\.\d)? mm\/s at LSC 8, HSC 3, R 6; the spec says linear\./,
    );
    expect(wrong[0]!.evidence).toMatchObject({ kind: 'digressive', spec_kind: 'linear' });
    expect(wrong[1]!.message).toContain('rebound is linear at LSC 8, HSC 3, R 6; the spec says progressive.');
  });

  it('is silent where the test may not be compared, or has too few speeds', () => {
    const random = createRandom(13);
    const digressive = kneeValve({ preload: 600, kneeSpeed: 0.2, slope: 300 });
    const bent = { compression: digressive, rebound: digressive };
    const straight = { compression: straightened(digressive, 1), rebound: straightened(digressive, 1) };
    const reference = tested(bent, 20, STAIRCASE, random);
    const test = tested(straight, 20, STAIRCASE, random);
    expect(changes(judged(test, reference)).length).toBe(2);
    expect(changes(judged({ ...test, basis: { ...test.basis, drive: 'triangle' } }, reference))).toEqual([]);
    const few = { ...test, rows: test.rows.filter((_, i) => i % 3 === 0) };
    expect(changes(judged(few, reference))).toEqual([]);
    expect(judged(few, reference).shape!.compression!.kind).toBe('undecided');
    expect(judged(few, reference).shape!.piston).toBeUndefined();
  });
});

describe('where shape is taken', () => {
  const settings = [[0, 3, 6], DELIVERY, [12, 3, 6]];
  it('is the delivery setting of the spec, else that of the worst point', () => {
    const table = aResult({ settings, drift: (side, _, at) => (side === 'rebound' && at[0] === 12 ? 80 : 0) });
    const reference = aReference();
    const rows = settings.flatMap((setting) => reference.rows.map((row) => ({ ...row, setting })));
    const whole = { ...reference, rows };
    expect(judge({ table, reference: whole }).shape!.setting).toEqual({ LSC: 12, HSC: 3, R: 6 });
    const spec = aSpec({ settings: { delivery: { R: 6, LSC: 0, HSC: 3 } } });
    expect(judge({ table, reference: whole, spec }).shape!.setting).toEqual({ LSC: 0, HSC: 3, R: 6 });
  });

  it('gives rebound over compression by velocity, with that of the reference', () => {
    const { ratios } = judge({ table: aResult({ drift: (side) => (side === 'rebound' ? -100 : 0) }) }).shape!;
    const at = ratios.find(({ velocity }) => velocity === 0.4)!;
    expect(at.ratio).toBeCloseTo((300 + 1000 + 100) / (200 + 600), 10);
    expect(at.reference).toBeCloseTo((300 + 1000) / (200 + 600), 10);
    expect(at.U).toBeCloseTo(at.ratio * (2 / 1400 + 2 / 800), 10);
  });

  it('is not looked for by curves of a side that lies near a digressive reference, and is by those of any other', () => {
    const random = createRandom(9);
    const knee = 0.12;
    const digressive: ValveLaw = (v) => 150 + 300 * v + 2500 * (knee * (1 - Math.exp(-v / knee)));
    const healthy = { compression: digressive, rebound: digressive };
    const reference = asReference(tested(healthy, 20, STAIRCASE, random));
    const changed = { compression: straightened(digressive, 1), rebound: digressive };
    const [same, other] = [tested(healthy, 20, STAIRCASE, random), tested(changed, 20, STAIRCASE, random)];
    const setting = settingOfRow(same, same.rows[0]!);
    const stays = (table: ForceTable, side: Side) => staysDigressive({ table, reference }, setting, side);
    expect([stays(same, 'compression'), stays(same, 'rebound')]).toEqual([true, true]);
    expect([stays(other, 'compression'), stays(other, 'rebound')]).toEqual([false, true]);
    // Nothing is told where points are not those of the reference, one by one.
    expect(stays({ ...same, rows: same.rows.slice(1) }, 'rebound')).toBe(false);
    expect(stays({ ...same, rows: same.rows.map((row) => ({ ...row, pass: 2 })) }, 'rebound')).toBe(false);
    expect(stays({ ...same, rows: same.rows.map((row) => ({ ...row, rebound: NaN })) }, 'rebound')).toBe(false);
    expect(staysDigressive({ table: same, reference }, { ...setting, other: 1 }, 'rebound')).toBe(false);
    expect(staysDigressive({ table: same }, setting, 'rebound')).toBe(false);
  });
});

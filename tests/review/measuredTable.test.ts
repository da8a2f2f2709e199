import { describe, expect, it } from 'vitest';
import type { RunAnalysis } from '../../src/analysis/runAnalysis';
import { measuredTable } from '../../src/review/measuredTable';
import { matchPlanned } from '../../src/review/plannedVelocity';
import { adjustersOfRun, settingsOfSteps, withFullSettings } from '../../src/review/runSettings';
import { aHead, aLog, anAnalysis, aStep } from './logScenario';
import { ADJUSTERS, aSpec, GAS, referenceDamping, VELOCITIES } from './scenario';

const ORIGIN = { source: [{ path: 'a.testlog.csv', sha256: 'ab' }], inputs: { spec: 'cd' }, method: 1 };
const table = (analysis: RunAnalysis, heads = [aHead()], spec: ReturnType<typeof aSpec> | undefined = aSpec()) =>
  measuredTable('a.result.csv', heads, analysis, spec, ORIGIN);

describe('matchPlanned', () => {
  it.each([
    [[0.103], [0.1], [0.1]], // 3 %
    [[0.1052], [0.1], [undefined]],
    [[0.01], [0.005], [0.005]], // 5 mm/s
    [[0.0101], [0.005], [undefined]],
    [[1.03, 0.97], [1], [1, undefined]], // two steps: the nearer one is the planned one (rounding decides for the first)
    [[0.96, 1.0, 1.04], [1], [undefined, 1, undefined]],
    [[1.0, 1.01], [1], [1, 1]], // a repeat of it
    [[0.1], [], [undefined]],
  ] as const)('%j to a plan of %j gives %j', (achieved, planned, expected) => {
    const matched = matchPlanned(achieved, planned);
    if (achieved[0] === 1.03) expect(matched.filter((m) => m === 1)).toHaveLength(1);
    else expect(matched).toEqual(expected);
  });
});

describe('measuredTable', () => {
  it('has one row a step with planned velocity, achieved velocities, forces, U, k, df, cycles, energy and temperature', () => {
    const result = table(anAnalysis());
    expect(result).toMatchObject({ kind: 'result', spec: 'alder-front', adjusters: ADJUSTERS });
    expect(result.gas).toEqual({ force: GAS, source: 'fit', temperature: 304.15 });
    expect(result.rows.map((r) => r.velocity)).toEqual(VELOCITIES);
    expect(result.rows[2]).toEqual({
      line: 0,
      setting: [8, 3, 6],
      pass: 1,
      velocity: 0.3,
      compression: GAS + referenceDamping('compression', 0.3),
      rebound: GAS + referenceDamping('rebound', 0.3),
      temperature: 308.15,
      measured: {
        compressionVelocity: 0.3,
        reboundVelocity: 0.3,
        compressionU: 2,
        reboundU: 2,
        compressionK: 2,
        reboundK: 2,
        compressionDf: 60,
        reboundDf: 60,
        cycles: 4,
        energy: 50,
      },
    });
    expect(result.result).toMatchObject({
      serial: 'F-017',
      build: '2',
      bench: 'bench-1',
      method: 1,
      source: ORIGIN.source,
      inputs: ORIGIN.inputs,
      benchIncluded: true,
    });
    expect(result.basis).toEqual({
      drive: 'sine',
      stroke: 0.05,
      midPosition: 0.035,
      temperatureAt: 'body',
      forceZero: 'unloaded',
    });
  });

  it('keeps the achieved velocity where none is planned near it', () => {
    const bare = anAnalysis();
    const analysis = { ...bare, points: bare.points.map((p) => ({ ...p, speed: p.speed * 1.02 })) };
    expect(table(analysis).rows[0]!.velocity).toBe(0.1);
    expect(table(analysis, [aHead()], aSpec({ test: { velocities: [] } })).rows[0]!.velocity).toBeCloseTo(0.102, 12);
  });

  it('numbers the passes of a velocity that is run again, in the order of the test', () => {
    const bare = anAnalysis();
    const again = bare.points
      .filter((p) => p.speed === 0.3)
      .map((p) => ({ ...p, key: { log: 0, step: 8 }, pass: 2, speed: 0.3012, force: p.force - 7 }));
    const rows = table({ ...bare, points: [...again, ...bare.points] }).rows.filter((r) => r.velocity === 0.3);
    expect(rows.map((r) => r.pass)).toEqual([1, 2]);
    expect(rows[1]!.compression - rows[0]!.compression).toBeCloseTo(-7, 9);
    expect(rows[1]!.measured!.compressionVelocity).toBe(0.3012);
  });

  it('sorts by setting, velocity and pass, whatever the order of the test', () => {
    const bare = anAnalysis();
    const points = [...bare.points]
      .reverse()
      .map((p, i) => ({ ...p, key: { log: 0, step: i >> 1 }, setting: p.speed > 0.45 ? [8, 3, 0] : [8, 3, 12] }));
    const rows = table({ ...bare, points, loops: [] }).rows;
    expect(rows.map((r) => r.setting[2])).toEqual([0, 0, 0, 0, 12, 12, 12, 12]);
    expect(rows.map((r) => r.velocity)).toEqual([0.5, 0.6, 0.8, 1.0, 0.1, 0.2, 0.3, 0.4]);
  });

  it('writes a gas of its own into a row only where it differs from that of the table', () => {
    const bare = anAnalysis();
    const warm = { ...bare, points: bare.points.map((p) => (p.speed === 1 ? { ...p, damping: p.damping - 12 } : p)) };
    const rows = table(warm).rows;
    expect(rows.map((r) => r.gas)).toEqual([
      undefined,
      undefined,
      undefined,
      undefined,
      undefined,
      undefined,
      undefined,
      GAS + 12,
    ]);
    const off = (size: number) => ({ ...bare, points: bare.points.map((p) => ({ ...p, damping: p.damping - size })) });
    // Forces are kept to 0.1 N: less than half of that is no gas of the row's own.
    expect(table(off(0.049)).rows.every((r) => r.gas === undefined)).toBe(true);
    expect(table(off(0.051)).rows.every((r) => r.gas !== undefined)).toBe(true);
  });

  it('calls a force of unknown nature constant, and leaves out one that is not known at all', () => {
    const bare = anAnalysis();
    const constant = table({ ...bare, gas: { source: 'none', force: 132, u: 1, reason: 'needs a creep step' } });
    expect(constant.gas).toEqual({ force: 132, source: 'constant' });
    expect(table({ ...bare, gas: { source: 'none', force: NaN, u: NaN } }).gas).toBeUndefined();
  });

  it('takes drive and stroke from the motion where no log states them, and none where logs disagree on mid position', () => {
    expect(table(anAnalysis(), [aHead({ basis: {} })]).basis).toEqual({ drive: 'sine', stroke: 0.05 });
    const two = [aHead({ basis: { midPosition: 0.03 } }), aHead({ basis: { midPosition: 0.04 } })];
    expect(table(anAnalysis(), two).basis.midPosition).toBeUndefined();
    const withStatic = [aHead(), aHead({ kind: 'static', basis: { stroke: 0.01, drive: 'other' } })];
    expect(table(anAnalysis(), withStatic).basis.stroke).toBe(0.05);
  });
});

describe('settings of a run', () => {
  const column = (name: string, index: number) => ({
    role: 'adjuster' as const,
    name,
    unit: 'click',
    index,
    factor: 1,
    offset: 0,
  });

  it('are spelled in the order of the spec, columns before preamble, whatever the order of the columns', () => {
    const first = aHead({ setting: { LSC: 8, R: 1 }, columns: [column('R', 4), column('HSC', 5)] });
    const second = aHead({ setting: { LSC: 9, HSC: 2, R: 3 }, columns: [] });
    const adjusters = adjustersOfRun([first, second], aSpec());
    expect(adjusters).toEqual(ADJUSTERS);
    const log = aLog().reduced;
    const steps = [aStep(0.1, 0, { setting: [12, 3] }), aStep(0.2, 1, { setting: [13, 4] })];
    expect(settingsOfSteps(first, { ...log, steps }, adjusters)).toEqual([
      [8, 3, 12],
      [8, 4, 13],
    ]);
    expect(withFullSettings(second, log, adjusters).steps.every((s) => s.setting.join() === '9,2,3')).toBe(true);
  });

  it('leave out an adjuster that no log states, and keep one that the spec does not have', () => {
    expect(adjustersOfRun([aHead({ setting: { R: 6, X: 1 } })], aSpec()).map((a) => a.id)).toEqual(['R', 'X']);
    const half = [aHead({ setting: { R: 6, HSC: 1 } }), aHead({ setting: { R: 6 } })];
    const adjusters = adjustersOfRun(half, aSpec());
    expect(settingsOfSteps(half[1]!, aLog().reduced, adjusters)[0]).toEqual([NaN, 6]);
  });
});

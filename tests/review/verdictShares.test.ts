import { describe, expect, it } from 'vitest';
import type { ForceRow } from '../../src/files/forceTable';
import type { Verdict } from '../../src/review/judgedResult';
import type { Side } from '../../src/analysis/side';
import { SIDES } from '../../src/analysis/side';
import { DELIVERY, GAS, aResult, anInput, judgedBothWays, referenceDamping, VELOCITIES } from './scenario';
import { thorough } from '../thorough';

/**
 * Shares of pass, undecided and fail that follow from the guard band of U = 2 u for a normal error of the measurement, by true drift over
 * tolerance; `spread` is a true drift anywhere from 0 to 2 T with equal chance. Recomputed with SciPy 1.x from the rule, apart from the product:
 * pass = Phi((T - U - m)/u) - Phi((-T + U - m)/u), fail = Phi(-(T + U - m)/u) + Phi((-T - U - m)/u) (scipy.stats.norm, scipy.integrate.quad).
 */
const EXPECTED: readonly (readonly [
  ratio: number,
  drift: number | 'spread',
  pass: number,
  undecided: number,
  fail: number,
])[] = [
  [0.05, 'spread', 0.475, 0.05, 0.475],
  [0.05, 0, 1, 0, 0],
  [0.05, 0.4, 1, 0, 0],
  [0.05, 0.9, 0.97724987, 0.02275013, 0],
  [0.05, 1, 0.02275013, 0.95449974, 0.02275013],
  [0.05, 1.1, 0, 0.02275013, 0.97724987],
  [0.05, 1.5, 0, 0, 1],
  [0.1, 'spread', 0.45, 0.1, 0.45],
  [0.1, 0, 1, 0, 0],
  [0.1, 0.4, 1, 0, 0],
  [0.1, 0.9, 0.5, 0.49996833, 0.00003167],
  [0.1, 1, 0.02275013, 0.95449974, 0.02275013],
  [0.1, 1.1, 0.00003167, 0.49996833, 0.5],
  [0.1, 1.5, 0, 0, 1],
  [0.2, 'spread', 0.4, 0.2, 0.4],
  [0.2, 0, 1, 0, 0],
  [0.2, 0.4, 0.99996833, 0.00003167, 0],
  [0.2, 0.9, 0.15865525, 0.83999485, 0.0013499],
  [0.2, 1, 0.02275013, 0.95449974, 0.02275013],
  [0.2, 1.1, 0.0013499, 0.83999485, 0.15865525],
  [0.2, 1.5, 0, 0.0013499, 0.9986501],
  [0.5, 'spread', 0.25, 0.49893866, 0.25106134],
  [0.5, 0, 0.95449974, 0.04550026, 0],
  [0.5, 0.4, 0.65526263, 0.34473195, 0.00000541],
  [0.5, 0.9, 0.05479928, 0.93700318, 0.00819754],
  [0.5, 1, 0.02275013, 0.95449974, 0.02275013],
  [0.5, 1.1, 0.00819754, 0.93700317, 0.05479929],
  [0.5, 1.5, 0.00003167, 0.49996833, 0.5],
  [1, 'spread', 0, 0.90026443, 0.09973557],
  [1, 0, 0, 0.99993666, 0.00006334],
  [1, 0.4, 0, 0.99931207, 0.00068793],
  [1, 0.9, 0, 0.98609655, 0.01390345],
  [1, 1, 0, 0.97724987, 0.02275013],
  [1, 1.1, 0, 0.96406968, 0.03593032],
  [1, 1.5, 0, 0.84134475, 0.15865525],
];
const POINTS = 10_000;
/** Fixed drifts only show how the shares of the spread come about. */
const POINTS_AT_FIXED_DRIFT = thorough ? POINTS : 2_000;

describe.each(EXPECTED)('U/T %d, true drift %s of tolerance', (ratio, drift, pass, undecided, fail) => {
  it('gives the shares that follow from the rule', () => {
    const random = seeded(Math.round(1000 * ratio) * 100 + (drift === 'spread' ? 99 : Math.round(10 * drift)));
    const count = drift === 'spread' ? POINTS : POINTS_AT_FIXED_DRIFT;
    const counts = countVerdicts(count, ratio, () => (drift === 'spread' ? 2 * random() : drift), random);
    expect(counts.pass + counts.undecided + counts.fail).toBe(count);
    expectShare(counts.pass, count, pass);
    expectShare(counts.undecided, count, undecided);
    expectShare(counts.fail, count, fail);
  });
});

describe('what the issue asks of the rule', () => {
  it.each([0.05, 0.1, 0.2])('at U of %d T, 1.5 T out fails in 99 % and on the reference never fails', (ratio) => {
    const random = seeded(7 + Math.round(100 * ratio));
    expect(countVerdicts(POINTS, ratio, () => 1.5, random).fail / POINTS).toBeGreaterThanOrEqual(0.99);
    expect(countVerdicts(POINTS, ratio, () => 0, random).fail).toBe(0);
  });

  it.each([0.05, 0.1, 0.2, 0.5])(
    'at U of %d T a point exactly at its limit is passed, or failed, in less than 2.5 %',
    (ratio) => {
      // ILAC-G8:09/2019, table of decision rules: guard band w = U, specific risk of a false accept below 2.5 % (value from memory).
      const counts = countVerdicts(POINTS, ratio, () => 1, seeded(11 + Math.round(100 * ratio)));
      expectShare(counts.pass, POINTS, 0.02275013);
      expect(counts.pass / POINTS).toBeLessThan(0.025 + 3 * Math.sqrt((0.025 * 0.975) / POINTS));
      expect(counts.fail / POINTS).toBeLessThan(0.025 + 3 * Math.sqrt((0.025 * 0.975) / POINTS));
    },
  );

  it('passes a result of 570 points whole in 95 % where the worst true drift is 0.4 T', () => {
    const random = seeded(570);
    const results = thorough ? 2000 : 100;
    let passed = 0;
    for (let i = 0; i < results; i++) if (resultOf570(0.2, random).verdict === 'pass') passed++;
    expect(passed / results).toBeGreaterThanOrEqual(0.95);
  });
});

/** Judges `count` points whose measured force is the truth and a normal error of standard uncertainty U/2. */
function countVerdicts(
  count: number,
  ratio: number,
  drift: () => number,
  random: () => number,
): Record<Verdict, number> {
  const passes = count / (2 * VELOCITIES.length);
  const rows = VELOCITIES.flatMap((velocity) =>
    Array.from({ length: passes }, (_, i) => measuredRow(velocity, i + 1, ratio, drift, random)),
  );
  const { points } = judgedBothWays(anInput({ table: { ...aResult(), rows } }));
  const counts = { pass: 0, undecided: 0, fail: 0 };
  for (const point of points) counts[point.verdict]++;
  return counts;
}

/** 19 settings x 15 velocities x 2 sides; every point is 0.4 T off, to either side. */
function resultOf570(ratio: number, random: () => number) {
  const velocities = Array.from({ length: 15 }, (_, i) => 0.1 * (i + 1));
  const settings = Array.from({ length: 19 }, (_, r) => [8, 3, r]);
  const input = anInput();
  const reference = settings.flatMap((setting) =>
    velocities.map((velocity) => ({
      line: 7,
      setting,
      pass: 1,
      velocity,
      compression: GAS + referenceDamping('compression', velocity),
      rebound: GAS + referenceDamping('rebound', velocity),
    })),
  );
  const rows = settings.flatMap((setting) =>
    velocities.map((velocity) => ({ ...measuredRow(velocity, 1, ratio, () => 0.4, random), setting })),
  );
  const spec = { ...input.spec!, test: { ...input.spec!.test, velocities } };
  return judgedBothWays({
    ...input,
    spec,
    reference: { ...input.reference!, rows: reference },
    table: { ...input.table, rows },
  });
}

function measuredRow(
  velocity: number,
  pass: number,
  ratio: number,
  drift: () => number,
  random: () => number,
): ForceRow {
  const side = (name: Side) => {
    const truth = referenceDamping(name, velocity);
    const tolerance = Math.max(0.05 * Math.abs(truth), 20);
    const sign = random() < 0.5 ? -1 : 1;
    const error = (ratio * tolerance * normal(random)) / 2;
    return { force: GAS + truth + sign * drift() * tolerance + error, U: ratio * tolerance };
  };
  const [compression, rebound] = SIDES.map(side);
  const measured = aResult().rows[0]!.measured!;
  return {
    line: 0,
    setting: DELIVERY,
    pass,
    velocity,
    compression: compression!.force,
    rebound: rebound!.force,
    temperature: 308.15,
    measured: {
      ...measured,
      compressionVelocity: velocity,
      reboundVelocity: velocity,
      compressionU: compression!.U,
      reboundU: rebound!.U,
    },
  };
}

/** The count lies within the 99.9 % band of a binomial distribution of this share, its tails cut at 0.05 % each. */
function expectShare(count: number, of: number, share: number): void {
  const [low, high] = binomialBand(of, share, 0.001);
  expect(count).toBeGreaterThanOrEqual(low);
  expect(count).toBeLessThanOrEqual(high);
}

function binomialBand(n: number, p: number, outside: number): readonly [number, number] {
  if (p <= 0) return [0, 0];
  if (p >= 1) return [n, n];
  let log = n * Math.log1p(-p);
  let below = 0;
  let low = 0;
  for (let k = 0; k <= n; k++) {
    const here = Math.exp(log);
    if (below + here <= outside / 2) low = k + 1;
    below += here;
    if (below >= 1 - outside / 2) return [low, k];
    log += Math.log((n - k) / (k + 1)) + Math.log(p / (1 - p));
  }
  return [low, n];
}

/** mulberry32 */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Box and Muller. */
function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

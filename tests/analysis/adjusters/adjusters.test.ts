import { describe, expect, it } from 'vitest';
import { clickSteps } from '../../../src/analysis/adjusters/clickSteps';
import { deadFrom } from '../../../src/analysis/adjusters/deadRange';
import { reachOfAdjuster } from '../../../src/analysis/adjusters/reach';
import { createRandom } from '../../simulator/random';
import type { RandomSource } from '../../simulator/random';
import { deadPast, randomUnit, SPEEDS, sweepOf, withIncrement } from './randomUnit';
import type { Unit, UnitAdjuster } from './randomUnit';

const UNITS = 200;
/** Limits a spec may set; with 50 to 150 % a click lifted by 60 % is a near thing against 8 % of natural scatter. */
const LIMITS = { law: 'equal-ratio', least: 0.65, most: 1.3, scatter: 0.08 } as const;

/** Calls `visit` for every adjuster of 200 random three- and four-way units. */
function forEachAdjuster(visit: (unit: Unit, adjuster: UnitAdjuster, random: RandomSource) => void): void {
  for (let seed = 1; seed <= UNITS; seed++) {
    const random = createRandom(seed);
    const unit = randomUnit(random);
    for (const adjuster of unit.adjusters) visit(unit, adjuster, random);
  }
}

describe('sweeps of 200 random units, 0.3 % noise a point, steps of 3 to 6 % a click', () => {
  it('finds a click lifted by 60 % or cut to 30 % in 99 %, and at most 1 % of even sweeps uneven', () => {
    const found = { lifted: 0, cut: 0, even: 0, all: 0 };
    forEachAdjuster((unit, adjuster, random) => {
      const at = random.integer(2, adjuster.clicks - 3);
      const uneven = (one: UnitAdjuster): boolean[] =>
        clickSteps(sweepOf(unit, one, random, 0.003), LIMITS).steps.map((step) => step.uneven);
      found.all++;
      if (uneven(withIncrement(adjuster, at, 1.6))[at] === true) found.lifted++;
      if (uneven(withIncrement(adjuster, at, 0.3))[at] === true) found.cut++;
      if (uneven(adjuster).includes(true)) found.even++;
    });
    expect(found.lifted / found.all).toBeGreaterThanOrEqual(0.99);
    expect(found.cut / found.all).toBeGreaterThanOrEqual(0.99);
    expect(found.even / found.all).toBeLessThanOrEqual(0.01);
  });

  it('finds a dead range to the click in 98 %, and none in at most 1 % of good sweeps', () => {
    const found = { exact: 0, wrong: 0, all: 0 };
    forEachAdjuster((unit, adjuster, random) => {
      const from = adjuster.clicks - 3 - random.integer(0, 4);
      found.all++;
      if (deadFrom(sweepOf(unit, deadPast(adjuster, from), random, 0.003), { scatter: 0.08 }) === from) found.exact++;
      if (deadFrom(sweepOf(unit, adjuster, random, 0.003), { scatter: 0.08 }) !== undefined) found.wrong++;
    });
    expect(found.exact / found.all).toBeGreaterThanOrEqual(0.98);
    expect(found.wrong / found.all).toBeLessThanOrEqual(0.01);
  });

  it('tells low-speed from high-speed adjusters in all, and their half-effect speed within the larger of 15 % and one step', () => {
    forEachAdjuster((unit, adjuster, random) => {
      const reach = reachOfAdjuster(sweepOf(unit, adjuster, random, 0.003));
      expect(reach.acts).toBe(adjuster.low ? 'low speeds' : 'high speeds');
      const within = Math.max(0.15 * adjuster.halfEffect, SPEEDS[1]! - SPEEDS[0]!);
      expect(Math.abs(reach.halfEffect! - adjuster.halfEffect)).toBeLessThanOrEqual(within);
    });
  });
});

describe('sweeps that cannot tell', () => {
  it('abstains where the steps are too small for the noise, with the same false rate', () => {
    let abstained = 0;
    let wrong = 0;
    let all = 0;
    for (let seed = 1; seed <= UNITS; seed++) {
      const random = createRandom(seed);
      const unit = randomUnit(random, [0.005, 0.012]);
      for (const adjuster of unit.adjusters) {
        const result = clickSteps(sweepOf(unit, adjuster, random, 0.01), LIMITS);
        all++;
        if (result.tooSmall) abstained++;
        if (result.steps.some((step) => step.uneven || step.wrongWay)) wrong++;
      }
    }
    expect(abstained / all).toBeGreaterThan(0.5);
    expect(wrong / all).toBeLessThanOrEqual(0.01);
  });

  it('lists steps without judging significance where nothing was repeated', () => {
    const random = createRandom(5);
    const unit = randomUnit(random);
    const { positions, speeds, damping } = sweepOf(unit, withIncrement(unit.adjusters[0]!, 5, 1.6), random, 0.003);
    const result = clickSteps({ positions, speeds, damping }, LIMITS);
    expect(result.significanceJudged).toBe(false);
    expect(result.steps.some((step) => step.uneven)).toBe(false);
    expect(result.steps[5]!.outsideLimits).toBe(true);
  });

  it('takes steps per unit of the adjuster, not per row', () => {
    const positions = [0, 2, 3, 6, 10, 11];
    const damping = positions.map((p) => SPEEDS.map((v) => (300 + 900 * v) * Math.exp(-0.05 * p)));
    const u = damping.map((row) => row.map((force) => 0.001 * force));
    const result = clickSteps({ positions, speeds: SPEEDS, damping, u }, LIMITS);
    for (const step of result.steps) expect(step.ratio).toBeCloseTo(1, 9);
    expect(result.medianStep).toBeCloseTo(0.05, 9);
  });
});

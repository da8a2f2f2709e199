import { describe, expect, it } from 'vitest';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import { compareRuns } from '../../src/review/compareRuns';
import type { ComparedRun } from '../../src/review/comparison';
import { normalQuantile } from '../../src/analysis/statistics/distributions';
import { runToRunOf } from '../../src/review/runToRun';
import { createRandom, type RandomSource } from '../simulator/random';
import { thorough } from '../thorough';

/**
 * What `compare` calls changed, over simulated complete runs: run gain 0.3 %, zero of the load cell 3 N, 3 K, 0.1 click of backlash an
 * adjuster, 0.2 % of scatter a point. Loss a kelvin and the click's effect are sizes as dampers have them (common practice).
 */
const SPEEDS = Array.from({ length: 15 }, (_, i) => (i + 1) / 10);
const GAS = 375;
const LOSS_PER_KELVIN = 0.0015;
const COUNT = thorough ? 10_000 : 800;
const POWER_COUNT = thorough ? 2_000 : 250;
/** With few rebuilds a share is only known to its binomial scatter, 99.9 % two-sided; with large counts the issue's own limits hold. */
const allowance = (share: number, count: number): number =>
  thorough ? 0 : normalQuantile(0.9995) * Math.sqrt((share * (1 - share)) / count);

const damping = {
  compression: (v: number) => 350 * Math.tanh(v / 0.12) + 700 * v,
  rebound: (v: number) => -(700 * Math.tanh(v / 0.12) + 900 * v),
};
const clickEffect = (v: number): number => 0.04 / (1 + (v / 0.45) ** 4);

interface Unit {
  readonly compression: number;
  readonly rebound: number;
}

function runOf(unit: Unit, random: RandomSource): ForceTable {
  const gain = 1 + 0.003 * random.normal();
  const zero = 3 * random.normal();
  const warm = 1 - LOSS_PER_KELVIN * 3 * random.normal();
  const clicks = { compression: 0.1 * random.normal(), rebound: 0.1 * random.normal() };
  const force = (side: 'compression' | 'rebound', v: number): number => {
    const run = gain * warm * unit[side] * (1 - clickEffect(v) * clicks[side]) * (1 + 0.002 * random.normal());
    return GAS + zero + damping[side](v) * run;
  };
  const rows = SPEEDS.map((velocity, i): ForceRow => {
    const [compression, rebound] = [force('compression', velocity), force('rebound', velocity)];
    const U = { compressionU: 0.004 * (compression - GAS), reboundU: 0.004 * (GAS - rebound) };
    const measured = {
      ...{ compressionVelocity: velocity, reboundVelocity: velocity, ...U, compressionK: 2, reboundK: 2 },
      ...{ compressionDf: 60, reboundDf: 60, cycles: 4, energy: 50 },
    };
    return { line: 20 + i, setting: [6], pass: 1, velocity, compression, rebound, measured };
  });
  return {
    file: 'run.result.csv',
    kind: 'result',
    formatVersion: 1,
    spec: 'alder-front',
    headerLine: 19,
    adjusters: [{ id: 'R', unit: 'click' }],
    rows,
    basis: { drive: 'sine', stroke: 0.05 },
    gas: { force: GAS, source: 'fit' },
  };
}

function asBuild(build: string, table: ForceTable): ComparedRun {
  return { label: build, file: table.file, serial: 'F-1', build, specId: 'alder-front', bench: 'bench-1', table };
}

/** Units of one make differ by a percent: that must not enter the scatter of runs. */
function aUnit(random: RandomSource): Unit {
  return { compression: 1 + 0.01 * random.normal(), rebound: 1 + 0.01 * random.normal() };
}

/** Share of rebuilds called changed, and the power that was stated, over repeats drawn anew each time. */
function called(change: number, count: number, seed: number, repeats: readonly number[]) {
  const random = createRandom(seed);
  let significant = 0;
  let stated = 0;
  for (let i = 0; i < count; i++) {
    const groups = repeats.map((runs) => {
      const unit = aUnit(random);
      return Array.from({ length: runs }, () => runOf(unit, random));
    });
    const unit = aUnit(random);
    const rebuilt = { compression: unit.compression * (1 + change), rebound: unit.rebound * (1 + change) };
    const [a, b] = [asBuild('1', runOf(unit, random)), asBuild('2', runOf(rebuilt, random))];
    const found = compareRuns(a, b, { runToRun: runToRunOf(groups, 'spec') }).change!;
    if (found.significant) significant += 1;
    stated += found.power.find((power) => power.change === change)?.probability ?? NaN;
  }
  return { share: significant / count, stated: stated / count };
}

describe('what compare calls changed', () => {
  it.each([
    ['three dampers of five runs', [5, 5, 5]],
    ['one damper of four runs', [4]],
  ])(`is 5 +- 1 %% of ${COUNT} unchanged rebuilds, with repeats of %s`, (_, repeats) => {
    const { share } = called(0, COUNT, 41, repeats);
    console.info(`false alarms of ${COUNT}, repeats ${repeats.join('+')}: ${(100 * share).toFixed(2)} %`);
    expect(share).toBeGreaterThan(0.04 - allowance(0.04, COUNT));
    expect(share).toBeLessThan(0.06 + allowance(0.06, COUNT));
  });

  it.each([0.01, 0.02, 0.05])('is a rebuild that moved both sides by %f as often as is stated', (change) => {
    const { share, stated } = called(change, POWER_COUNT, 43, [5, 5, 5]);
    console.info(
      `change of ${100 * change} %: found ${(100 * share).toFixed(1)} %, stated ${(100 * stated).toFixed(1)} %`,
    );
    expect(Math.abs(share - stated)).toBeLessThan(0.05 + allowance(stated, POWER_COUNT));
  });
});

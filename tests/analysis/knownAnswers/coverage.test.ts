import { describe, expect, it } from 'vitest';
import type { MeasuredPoint, RunAnalysis } from '../../../src/analysis/runAnalysis';
import { normalQuantile } from '../../../src/analysis/statistics/distributions';
import { median } from '../../../src/analysis/statistics/quantile';
import { expandUncertainty } from '../../../src/analysis/uncertainty/expand';
import { createRandom } from '../../simulator/random';
import type { PlanOverrides } from '../../simulator/randomCases';
import type { StepTruth } from '../../simulator/truth';
import type { Simulation } from './simulatedLogs';
import {
  analyseSimulated,
  matchSteps,
  simulateBench,
  speedThird,
  thorough,
  trueForce,
  withNoise,
  withoutNoise,
} from './simulatedLogs';

/** One reading of a simulated motion through the whole path. */
interface Reading {
  readonly simulated: Simulation;
  readonly cycles: number;
  readonly analysis: RunAnalysis;
  readonly truth: readonly StepTruth[];
}
type Noise = readonly [number, number];
const CYCLES = [3, 4, 8];
const STRATA = 18;

/** Random dampers at 3, 4 and 8 cycles a step, each read twice with white noise between two limits [N]. */
async function* readings(dampers: number, [from, to]: Noise, overrides: PlanOverrides = {}): AsyncGenerator<Reading> {
  for (let seed = 9000; seed < 9000 + dampers; seed++) {
    for (const cycles of CYCLES) {
      const simulated = simulateBench(seed, { ...overrides, cycles, forceNoise: 0 });
      const random = createRandom(seed * 10 + cycles);
      for (let repeat = 0; repeat < 2; repeat++) {
        const run = withNoise(simulated.run, random.uniform(from, to), random);
        const { log, analysis } = await analyseSimulated({ ...simulated, run });
        yield { simulated, cycles, analysis, truth: matchSteps({ run, log })!.map((pair) => pair.truth) };
      }
    }
  }
}

/** How often the stated uncertainty holds the truth. */
class Share {
  points = 0;
  private covered = 0;

  add(error: number, U: number): void {
    this.points++;
    if (Math.abs(error) <= U) this.covered++;
  }

  /** With few draws a share is only known to its binomial scatter: 99.9 %, two-sided, over the strata together. */
  expectBetween(least: number, most: number, says: string, draws = this.points): void {
    const allowance = (limit: number): number =>
      thorough ? 0 : normalQuantile(1 - 0.0005 / STRATA) * Math.sqrt((limit * (1 - limit)) / draws);
    const share = this.covered / this.points;
    expect(share, `${says}: ${this.covered} of ${this.points}`).toBeGreaterThanOrEqual(least - allowance(least));
    expect(share, `${says}: ${this.covered} of ${this.points}`).toBeLessThanOrEqual(most + allowance(most));
  }
}

function stratumOf({ cycles, truth }: Reading, { side, key }: MeasuredPoint): string {
  return `${cycles} cycles, ${side}, third ${speedThird(key.step, truth.length)}`;
}

function shareIn(strata: Map<string, Share>, key: string): Share {
  const share = strata.get(key) ?? new Share();
  strata.set(key, share);
  return share;
}

/** Of the load cell's force at peak speed: the stated parts but that of the gas force, which is taken off afterwards. */
async function forceCoverage(dampers: number, noise: Noise): Promise<{ strata: Map<string, Share>; medianU: number }> {
  const strata = new Map<string, Share>();
  const relativeU: number[] = [];
  for await (const reading of readings(dampers, noise)) {
    for (const point of reading.analysis.points) {
      const { parts, benchIncluded } = point.uncertainty;
      expect(parts.map(({ name }) => name)).toEqual(['cycles', 'method', 'gas']);
      const { U } = expandUncertainty(parts.slice(0, 2), benchIncluded);
      const force = trueForce(reading.truth[point.key.step]!, point.side);
      shareIn(strata, stratumOf(reading, point)).add(point.force - force, U);
      relativeU.push(U / Math.abs(force));
    }
  }
  expect(strata.size).toBe(STRATA);
  return { strata, medianU: median(relativeU) };
}

describe('stated 95 % uncertainty of the force at peak speed', () => {
  it('covers 93 to 97 % in each stratum of cycles, side and speed third at 3 to 15 N of noise, with a median under 0.2 % of the force', async () => {
    const { strata, medianU } = await forceCoverage(thorough ? 200 : 6, [3, 15]);
    for (const [key, share] of strata) share.expectBetween(0.93, 0.97, key);
    expect(medianU).toBeLessThan(0.002);
  });

  it('covers at least 93 % below 3 N', async () => {
    const { strata } = await forceCoverage(thorough ? 200 : 3, [0, 3]);
    for (const [key, share] of strata) share.expectBetween(0.93, 1, key);
  });
});

/**
 * Damping force with all that is stated. Truth is force less gas where a fit tells gas; where there is only the constant force, whatever it
 * consists of, truth is force less the constant force of the log without noise. The load cell's zero does not drift: how far it may is
 * for the bench's data to say, as no log can tell it from valves. All points of a log share one gas force, so that few logs are few draws.
 */
describe('stated 95 % uncertainty of damping force', () => {
  it.each([
    { from: 3, to: 15, most: 0.97 },
    { from: 0, to: 3, most: 1 },
  ])('covers at least 93 %, and at most $most, at $from to $to N of noise', async ({ from, to, most }) => {
    const strata = new Map<string, Share>();
    const dampers = thorough ? 100 : 3;
    for await (const reading of readings(dampers, [from, to], { forceDrift: 0 })) {
      const { analysis, simulated, truth } = reading;
      const fitted = analysis.gas.source === 'fit';
      const constant = fitted ? NaN : (await analyseNoiseless(simulated)).gas.force;
      for (const point of analysis.points) {
        const at = truth[point.key.step]!;
        const damping = trueForce(at, point.side) - (fitted ? at.gas : constant);
        shareIn(strata, stratumOf(reading, point)).add(point.damping - damping, point.uncertainty.U);
      }
    }
    expect(strata.size).toBe(STRATA);
    for (const [key, share] of strata) share.expectBetween(0.93, most, key, 2 * dampers);
  });
});

async function analyseNoiseless(simulated: Simulation): Promise<RunAnalysis> {
  return (await analyseSimulated({ ...simulated, run: withoutNoise(simulated.run) })).analysis;
}

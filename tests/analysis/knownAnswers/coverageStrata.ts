import { expect } from 'vitest';
import type { MeasuredPoint, RunAnalysis } from '../../../src/analysis/runAnalysis';
import { normalQuantile } from '../../../src/analysis/statistics/distributions';
import { createRandom } from '../../simulator/random';
import type { PlanOverrides } from '../../simulator/randomCases';
import type { StepTruth } from '../../simulator/truth';
import type { Simulation } from './simulatedLogs';
import { analyseSimulated, matchSteps, simulateBench, speedThird, withNoise } from './simulatedLogs';
import { thorough } from '../../thorough';

/** White noise of a band [N] and the share of points that the stated uncertainty must hold there. */
export const BANDS = [
  { name: '3 to 15 N', from: 3, to: 15, least: 0.93, most: 0.97 },
  { name: 'below 3 N', from: 0, to: 3, least: 0.93, most: 1 },
] as const;
type Band = (typeof BANDS)[number];
const CYCLES = [3, 4, 8];
const STRATA = 18;

/** One reading of a simulated motion through the whole path. */
export interface Reading {
  readonly band: Band;
  readonly simulated: Simulation;
  readonly cycles: number;
  readonly analysis: RunAnalysis;
  readonly truth: readonly StepTruth[];
}

/** Random dampers at 3, 4 and 8 cycles a step; each motion is made once and read twice in each band of noise. */
export async function* readings(dampers: number, overrides: PlanOverrides = {}): AsyncGenerator<Reading> {
  for (let seed = 9000; seed < 9000 + dampers; seed++) {
    for (const cycles of CYCLES) {
      const simulated = simulateBench(seed, { ...overrides, cycles, forceNoise: 0 });
      for (const band of BANDS) yield* readTwice(simulated, seed, cycles, band);
    }
  }
}

async function* readTwice(simulated: Simulation, seed: number, cycles: number, band: Band): AsyncGenerator<Reading> {
  const random = createRandom(seed * 10 + cycles);
  for (let repeat = 0; repeat < 2; repeat++) {
    const run = withNoise(simulated.run, random.uniform(band.from, band.to), random);
    const { log, analysis } = await analyseSimulated({ ...simulated, run });
    yield { band, simulated, cycles, analysis, truth: matchSteps({ run, log })!.map((pair) => pair.truth) };
  }
}

/** How often the stated uncertainty holds the truth, by band, cycles, side and speed third. */
export class Coverage {
  private readonly strata = new Map<string, Share>();

  add({ band, cycles, truth }: Reading, { side, key }: MeasuredPoint, error: number, U: number): void {
    const stratum = `${band.name}, ${cycles} cycles, ${side}, third ${speedThird(key.step, truth.length)}`;
    const share = this.strata.get(stratum) ?? new Share();
    this.strata.set(stratum, share);
    share.points++;
    if (Math.abs(error) <= U) share.covered++;
  }

  /** With few draws, one a point unless given, a share is only known to its binomial scatter: 99.9 %, two-sided, over the strata together. */
  expectWithin({ name, least, most }: Band, drawsOf = (share: Share): number => share.points): void {
    const strata = [...this.strata].filter(([key]) => key.startsWith(name));
    expect(strata.length).toBe(STRATA);
    for (const [key, share] of strata) {
      const allowance = (limit: number): number =>
        thorough ? 0 : normalQuantile(1 - 0.0005 / STRATA) * Math.sqrt((limit * (1 - limit)) / drawsOf(share));
      const covered = share.covered / share.points;
      const says = `${key}: ${share.covered} of ${share.points}`;
      expect(covered, says).toBeGreaterThanOrEqual(least - allowance(least));
      expect(covered, says).toBeLessThanOrEqual(most + allowance(most));
    }
  }
}

class Share {
  points = 0;
  covered = 0;
}

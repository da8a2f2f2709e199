import { beforeAll, describe, expect, it } from 'vitest';
import type { RunAnalysis } from '../../../src/analysis/runAnalysis';
import { SIDES } from '../../../src/analysis/side';
import { mean } from '../../../src/analysis/statistics/quantile';
import { meanOfUsedCycles } from '../../simulator/truth';
import type { SimulatedLog } from './simulatedLogs';
import { analyseReduced, matchSteps, simulateLog, speedThird, stepFaults, trueForce } from './simulatedLogs';
import { thorough } from '../../thorough';

const COUNT = thorough ? 200 : 20;
const FIRST_SEED = 1000;
/** Limits of the rules that look at these measures (docs/rules). */
const DROP_LIMIT = 0.08;
const SETTLED_LIMIT = 0.01;

/** What is kept of a log; its rows are not, as two hundred logs of them fill the memory. */
interface Healthy {
  readonly name: string;
  readonly strokes: number;
  readonly lag: number;
  readonly analysis: Pick<RunAnalysis, 'voids' | 'drops' | 'notSettled' | 'lags'>;
}

/** One side of a step beside its truth [N]. */
interface Force {
  readonly where: string;
  readonly stratum: string;
  readonly error: number;
  readonly force: number;
}

/** Energy of a step over the true one, less 1. */
interface Energy {
  readonly where: string;
  readonly error: number;
}

/**
 * Nothing is wrong with these dampers; drive, dwell, start, noise, and the drift of the load cell's zero (up to 6 N over a log) and of the
 * displacement's (up to 1 mm) are random. Truth is the same simulation without noise and quantisation, lag included.
 */
describe(`${COUNT} healthy random dampers`, () => {
  const healthy: Healthy[] = [];
  const faults: string[] = [];
  const forces: Force[] = [];
  const energies = { sine: [] as Energy[], triangle: [] as Energy[] };

  beforeAll(async () => {
    for (let seed = FIRST_SEED; seed < FIRST_SEED + COUNT; seed++) {
      const simulated = await simulateLog(seed);
      const { name, log, damper } = simulated;
      const analysis = analyseReduced(log, damper);
      const { voids, drops, notSettled, lags } = analysis;
      const strokes = log.steps.reduce((sum, step) => sum + 2 * step.cyclesUsed, 0);
      healthy.push({ name, strokes, lag: damper.lag, analysis: { voids, drops, notSettled, lags } });
      faults.push(...stepFaults(simulated));
      addTruths(simulated, analysis);
    }
  }, 1_800_000);

  function addTruths(simulated: SimulatedLog, analysis: RunAnalysis): void {
    const { name, run, bench } = simulated;
    const { drive } = run.plan;
    matchSteps(simulated)?.forEach(({ truth }, index, all) => {
      const where = `${name}, at ${truth.velocity}`;
      for (const side of SIDES) {
        const force = trueForce(truth, side);
        const point = analysis.points.find(({ key, side: of }) => key.step === index && of === side)!;
        const stratum = `${drive} ${side} third ${speedThird(index, all.length)}`;
        forces.push({ where, stratum, force, error: point.force - force });
      }
      if (drive === 'triangle' && bench.sampleRate / truth.frequency < 100) return;
      const error = analysis.loops[index]!.energy / meanOfUsedCycles(truth.energy) - 1;
      energies[drive].push({ where, error });
    });
  }

  it('lose no step, and none is invented', () => {
    expect(faults).toEqual([]);
  });

  it('have their force at peak speed within the larger of 0.5 % and 3 N in at least 99 % of points', () => {
    const outside = forces.filter(({ error, force }) => !(Math.abs(error) <= Math.max(0.005 * Math.abs(force), 3)));
    expect(forces.length).toBeGreaterThan(12 * COUNT);
    expect(outside.length, JSON.stringify(outside)).toBeLessThanOrEqual(0.01 * forces.length);
  });

  it('have it unbiased within 0.2 % or 1 N in each stratum of drive, side and speed third', () => {
    const strata = new Map<string, Force[]>();
    for (const one of forces) strata.set(one.stratum, [...(strata.get(one.stratum) ?? []), one]);
    expect(strata.size).toBe(12);
    for (const [key, all] of strata) {
      const bias = Math.abs(mean(all.map(({ error }) => error)));
      const size = mean(all.map(({ force }) => Math.abs(force)));
      expect(bias, `${key}: bias ${bias.toFixed(2)} N`).toBeLessThan(Math.max(1, 0.002 * size));
    }
  });

  it('have their energy within 0.5 %: all steps on a sine drive, 99 % on a triangle from 100 samples a cycle', () => {
    const outside = (all: readonly Energy[]): string[] =>
      all.filter(({ error }) => !(Math.abs(error) <= 0.005)).map(({ where, error }) => `${where}: ${error}`);
    expect(energies.sine.length).toBeGreaterThan(3 * COUNT);
    expect(outside(energies.sine)).toEqual([]);
    expect(energies.triangle.length).toBeGreaterThan(COUNT);
    expect(outside(energies.triangle).length).toBeLessThanOrEqual(0.01 * energies.triangle.length);
  });

  it('show no void in 1,000 strokes and more', () => {
    expect(healthy.reduce((sum, { strokes }) => sum + strokes, 0)).toBeGreaterThan(1000);
    expect(
      healthy.flatMap(({ name, analysis }) => analysis.voids.map((v) => `${name}: ${1000 * v.length} mm`)),
    ).toEqual([]);
  });

  it('show a local drop in under 1 % of their sides', () => {
    const found = healthy.flatMap(({ name, analysis }) =>
      analysis.drops.filter(({ share }) => share > DROP_LIMIT).map((d) => `${name}: ${d.share} in ${d.side}`),
    );
    expect(found.length, found.join('\n')).toBeLessThan(0.01 * 2 * COUNT);
  });

  it('are held for not settled in at most 1 % of logs', () => {
    const found = healthy.flatMap(({ name, analysis }) =>
      analysis.notSettled.filter(({ pValue }) => pValue < SETTLED_LIMIT).map((t) => `${name}: ${t.change} N`),
    );
    expect(found.length, found.join('\n')).toBeLessThanOrEqual(0.01 * COUNT);
  });

  it('show no lag below zero, and the true one within 0.6 ms, twice its largest stated scatter, in 95 % and more', () => {
    const errors = healthy.flatMap(({ analysis, lag: truth }) =>
      analysis.lags.flatMap(({ lag }) => (lag === undefined ? [] : [{ lag, error: Math.abs(lag - truth) }])),
    );
    expect(errors.length).toBeGreaterThan(50);
    expect(errors.filter(({ lag }) => lag < 0)).toEqual([]);
    expect(errors.filter(({ error }) => error > 0.0006).length).toBeLessThanOrEqual(0.05 * errors.length);
  });
});

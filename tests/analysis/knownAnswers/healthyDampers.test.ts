import { beforeAll, describe, expect, it } from 'vitest';
import type { RunAnalysis } from '../../../src/analysis/runAnalysis';
import type { SimulatedLog } from './simulatedLogs';
import { analyseReduced, simulateLog, thorough } from './simulatedLogs';

const COUNT = thorough ? 300 : 15;
/** Limits of the rules that look at these measures (docs/rules). */
const DROP_LIMIT = 0.08;
const SETTLED_LIMIT = 0.01;

interface Healthy extends SimulatedLog {
  readonly analysis: RunAnalysis;
}

/** Nothing is wrong with these dampers; the load cell's zero drifts up to 6 N and the displacement's up to 1 mm over a log. */
describe('healthy random dampers', () => {
  const logs: Healthy[] = [];
  beforeAll(async () => {
    for (let seed = 30_000; seed < 30_000 + COUNT; seed++) {
      const simulated = await simulateLog(seed);
      logs.push({ ...simulated, analysis: analyseReduced(simulated.log, simulated.damper) });
    }
  }, 600_000);

  it('show no void in 1,000 strokes and more', () => {
    const strokes = logs.flatMap(({ log }) => log.steps).reduce((sum, step) => sum + 2 * step.cyclesUsed, 0);
    expect(strokes).toBeGreaterThan(1000);
    expect(logs.flatMap(({ name, analysis }) => analysis.voids.map((v) => `${name}: ${1000 * v.length} mm`))).toEqual(
      [],
    );
  });

  it('show a local drop in under 1 % of their sides', () => {
    const found = logs.flatMap(({ name, analysis }) =>
      analysis.drops.filter(({ share }) => share > DROP_LIMIT).map((d) => `${name}: ${d.share} in ${d.side}`),
    );
    expect(found.length, found.join('\n')).toBeLessThan(0.01 * 2 * COUNT);
  });

  it('are held for not settled in at most 1 % of logs', () => {
    const found = logs.flatMap(({ name, analysis }) =>
      analysis.notSettled.filter(({ pValue }) => pValue < SETTLED_LIMIT).map((t) => `${name}: ${t.change} N`),
    );
    expect(found.length, found.join('\n')).toBeLessThanOrEqual(0.01 * COUNT);
  });

  it('show no lag below zero, and the true one within 0.6 ms, twice its largest stated scatter, in 95 % and more', () => {
    const errors = logs.flatMap(({ analysis, damper }) =>
      analysis.lags.flatMap(({ lag }) => (lag === undefined ? [] : [{ lag, error: Math.abs(lag - damper.lag) }])),
    );
    expect(errors.length).toBeGreaterThan(50);
    expect(errors.filter(({ lag }) => lag < 0)).toEqual([]);
    expect(errors.filter(({ error }) => error > 0.0006).length).toBeLessThanOrEqual(0.05 * errors.length);
  });
});

/** Slowest step and sine drive of a healthy damper; three speeds are enough. */
const creepPlan = (slowest: number) =>
  ({ drive: 'sine', velocities: [slowest, 0.2, 0.4], leastSamplesPerCycle: 60 }) as const;

describe('gas and friction of healthy dampers', () => {
  // Steps of 20 to 100 mm/s count as creep steps (analysis.md).
  it.each([{ slowest: 0.025 }, { slowest: 0.05 }, { slowest: 0.1 }])(
    'a sine log with a step of $slowest m/s: gas within 3 % or 8 N, friction within 20 % or 8 N, or neither with the reason',
    async ({ slowest }) => {
      const count = thorough ? 100 : 5;
      let stated = 0;
      for (let seed = 40_000; seed < 40_000 + count; seed++) {
        const { name, run, log, damper } = await simulateLog(seed, creepPlan(slowest));
        const { gas } = analyseReduced(log, damper);
        const truth = run.truth[0]!;
        if (gas.source === 'none') {
          expect(gas.reason, name).toMatch(/^needs a creep step.*this log cannot tell$/);
          expect(gas.friction, name).toBeUndefined();
          continue;
        }
        stated++;
        expect(Math.abs(gas.force - truth.gas), name).toBeLessThanOrEqual(Math.max(8, 0.03 * Math.abs(truth.gas)));
        expect(Math.abs(gas.friction! - truth.friction), name).toBeLessThanOrEqual(Math.max(8, 0.2 * truth.friction));
      }
      expect(stated).toBeGreaterThanOrEqual(Math.floor(0.95 * count));
    },
  );

  it('neither from a constant-speed drive, which never moves slowly', async () => {
    for (let seed = 41_000; seed < 41_000 + (thorough ? 30 : 3); seed++) {
      const { log, damper } = await simulateLog(seed, { ...creepPlan(0.05), drive: 'triangle' });
      const { gas } = analyseReduced(log, damper);
      expect(gas.source).toBe('none');
      expect([gas.friction, gas.rate]).toEqual([undefined, undefined]);
      expect(gas.reason).toMatch(/^needs a creep step with a sine drive, or a static log/);
    }
  });

  it('neither where the slowest step gives fewer than 20 slow samples an end', async () => {
    const { log, damper } = await simulateLog(42_000, {
      drive: 'sine',
      velocities: [0.8, 1.2],
      stroke: 0.05,
      cycles: 3,
      sampleRate: 1000,
    });
    const { positive, negative } = log.steps[0]!.slow;
    expect(Math.min(positive.samples, negative.samples)).toBeLessThan(20);
    const { gas } = analyseReduced(log, damper);
    expect(gas.source).toBe('none');
    expect(gas.friction).toBeUndefined();
    expect(gas.reason).toMatch(/^needs a creep step: the slowest one, 800 mm\/s, has only \d+ samples/);
  });
});

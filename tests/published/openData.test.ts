import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { analyseRun } from '../../src/analysis/analyseRun';
import { reduceLog } from '../../src/analysis/reduceLog';
import type { ReducedLog } from '../../src/analysis/reducedLog';
import type { RunAnalysis } from '../../src/analysis/runAnalysis';
import { SIDES } from '../../src/analysis/side';
import { median } from '../../src/analysis/statistics/quantile';
import { matchesGlob } from '../../src/files/globs';
import { openTestLog } from '../../src/files/log/openTestLog';
import { readReviewConfig } from '../../src/files/readReviewConfig';

/**
 * Open measured data, read through mappings of a damper-review.yaml only. Sources, licences and changes: data/README.md.
 * The tables were computed once with another program (NumPy, trapezoid areas).
 */
const CONFIG = `formatVersion: 1
logs:
  - files: "mr_damper/*.csv"
    columns:
      time: { header: "time_s", unit: s }
      displacement: { header: "displacement_mm", unit: mm }
      force: { header: "force_N", unit: N }
    preamble: { spec: open-mr, forceZero: unknown }
  - files: "friction_damper/*.csv"
    preamble: { spec: open-friction, forceZero: unknown }
`;
const { config, problems } = readReviewConfig('damper-review.yaml', new TextEncoder().encode(CONFIG));

async function read(file: string): Promise<{ readonly log: ReducedLog; readonly analysis: RunAnalysis }> {
  const mapping = config.logs.find((m) => matchesGlob(m.files, file));
  const bytes = readFileSync(new URL(`data/${file}`, import.meta.url));
  const open = async function* (): AsyncIterable<Uint8Array> {
    yield await Promise.resolve(bytes);
  };
  const opened = await openTestLog({ file, open, mapping });
  const log = await reduceLog(() => opened.chunks(), { adjusters: 0 });
  return { log, analysis: analyseRun([log], { settings: [[]], kinds: ['staircase'], forceZero: 'unknown' }) };
}

/** Energies of the cycles that begin after a time. */
function energiesAfter(log: ReducedLog, time: number): number[] {
  return log.steps.flatMap((s) => Array.from(s.cycles.energy).filter((_, i) => s.cycles.startTime[i]! >= time));
}

it('maps both sources without a complaint', () => {
  expect(problems).toEqual([]);
});

// Table of labcontrol-data/mr-damper, DOI 10.5281/zenodo.4445334: [file, Hz, X mm, J]; cycles after 5 s, minimum to minimum.
describe.each([
  ['mr_0V_run01', 0.84, 12.19, 5.144],
  ['mr_0V_run05', 0.97, 9.14, 3.386],
  ['mr_0.8712V_run01', 0.462, 19.39, 22.292],
  ['mr_3.21V_run01', 0.843, 8.51, 27.42],
])('magnetorheological damper %s', (name, frequency, amplitude, energy) => {
  let log: ReducedLog;
  let analysis: RunAnalysis;
  beforeAll(async () => {
    ({ log, analysis } = await read(`mr_damper/${name}.csv`));
  });

  it('is one step, though the table takes a few cycles to settle', () => {
    expect(log.steps).toHaveLength(1);
  });

  it('takes the energy of the table within 1 %, over the cycles after 5 s', () => {
    expect(Math.abs(median(energiesAfter(log, 5)) / energy - 1)).toBeLessThan(0.01);
  });

  it('runs at the frequency of the table within 1 % and its amplitude within 2 %', () => {
    for (const loop of analysis.loops) {
      expect(Math.abs(loop.frequency / frequency - 1)).toBeLessThan(0.01);
      expect(Math.abs((1000 * loop.amplitude) / amplitude - 1)).toBeLessThan(0.02);
    }
  });

  it('shows no gas, friction or void, as nothing in it can tell them', () => {
    expect(analysis.gas.source).toBe('none');
    expect(analysis.gas.rate).toBeUndefined();
    expect(analysis.gas.friction).toBeUndefined();
    expect(analysis.voids).toEqual([]);
    expect(analysis.gas.reason).toContain('this log cannot tell');
  });
});

it.each(['mr_0V_run01', 'mr_0V_run05', 'mr_0.8712V_run01'])('%s carries a constant force of 130 +- 10 N', async (name) => {
  const { analysis } = await read(`mr_damper/${name}.csv`);
  expect(Math.abs(analysis.gas.force - 130)).toBeLessThanOrEqual(10);
});

// Dataset-Friction-Damper-with-Backlash, ARTS-Laboratory (2022): [file, J from, J to, allowed share, Hz, X mm].
describe.each([
  ['ds1_1Hz_22lb', 612.0, 612.0, 0.02, 1, 25.5],
  ['ds1_1Hz_25lb', 719.0, 719.0, 0.02, 1, 25.5],
  ['ds1_1Hz_35lb', 880.6, 880.6, 0.02, 1, 25.5],
  ['ds1_1Hz_80lb', 1037.9, 1037.9, 0.02, 1, 25.5],
  ['ds2_1Hz_36lb_1in', 1293, 1293, 0.02, 1, 25.6],
  ['ds2_2Hz_36lb_0.5in', 434, 456, 0.01, 2, 12.9],
])('friction damper %s', (name, from, to, share, frequency, amplitude) => {
  let log: ReducedLog;
  let analysis: RunAnalysis;
  beforeAll(async () => {
    ({ log, analysis } = await read(`friction_damper/${name}.csv`));
  });

  it('has two full cycles, from minimum to minimum, and nothing of the ramps', () => {
    expect(log.steps.map((s) => s.cyclesFound)).toEqual([2]);
  });

  it('takes the energy of the table', () => {
    expect(analysis.loops[0]!.energy).toBeGreaterThanOrEqual(from * (1 - share));
    expect(analysis.loops[0]!.energy).toBeLessThanOrEqual(to * (1 + share));
  });

  it('runs at its frequency within 1 % and amplitude within 2 %', () => {
    expect(Math.abs(analysis.loops[0]!.frequency / frequency - 1)).toBeLessThan(0.01);
    expect(Math.abs((1000 * analysis.loops[0]!.amplitude) / amplitude - 1)).toBeLessThan(0.02);
  });

  it('shows its backlash as a void of 5 to 8 mm on both sides', () => {
    expect(analysis.voids.map((v) => v.side).sort()).toEqual([...SIDES].sort());
    for (const found of analysis.voids) {
      expect(1000 * found.length).toBeGreaterThan(5);
      expect(1000 * found.length).toBeLessThan(8);
      expect(found.lagCorrected).toBe(false);
    }
  });
});

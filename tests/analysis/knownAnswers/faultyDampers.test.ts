import { describe, expect, it } from 'vitest';
import type { Side } from '../../../src/analysis/side';
import { SIDES } from '../../../src/analysis/side';
import { analyseReduced, analyseSimulated, matchSteps, simulateBench, simulateLog } from './simulatedLogs';
import { thorough } from '../../thorough';

const DROP_LIMIT = 0.08;
const counted = (few: number, many: number): number => (thorough ? many : few);
const other = (side: Side): Side => (side === 'compression' ? 'rebound' : 'compression');

describe('a void of 2 mm after the reversal of one side', () => {
  it.each(['sine', 'triangle'] as const)('is found within 0.4 mm on a %s drive, on that side alone', async (drive) => {
    for (let seed = 50_000; seed < 50_000 + counted(4, 100); seed++) {
      const side = SIDES[seed % 2]!;
      const { name, log, damper } = await simulateLog(seed, { drive }, () => ({ voids: { [side]: 0.002 } }));
      const { voids, lags, gas } = analyseReduced(log, damper);
      expect(
        voids.map((v) => v.side),
        name,
      ).toEqual([side]);
      expect(Math.abs(voids[0]!.length - 0.002), name).toBeLessThanOrEqual(0.0004);
      expect(voids[0]!.at, name).not.toBe('zero');
      // A void delays force as a lag would: no lag is stated beside it.
      expect(
        lags.filter((l) => l.side === side && l.lag !== undefined),
        name,
      ).toEqual([]);
      // Gas and friction are left out or right: the void must not pass for either.
      if (gas.friction !== undefined)
        expect(Math.abs(gas.friction - damper.friction), name).toBeLessThanOrEqual(Math.max(8, 0.2 * damper.friction));
    }
  });
});

describe('a local drop of 12 % in one side', () => {
  it('is found on a sine drive, at its place, on that side alone', async () => {
    const strayed: string[] = [];
    const count = counted(5, 200);
    for (let seed = 60_000; seed < 60_000 + count; seed++) {
      const side = SIDES[seed % 2]!;
      // Places of a quarter of the stroke about mid-stroke, widths of 12 to 30 % of it.
      const place = ((seed % 7) - 3) / 12;
      const width = 0.12 + 0.03 * (seed % 7);
      const fault = (stroke: number) => ({
        drop: { side, displacement: place * stroke, width: width * stroke, depth: 0.12 },
      });
      const simulated = await simulateLog(seed, { drive: 'sine' }, fault);
      const { name, log, damper, run } = simulated;
      expect(matchSteps(simulated), name).toBeDefined();
      const drops = analyseReduced(log, damper).drops.filter(({ share }) => share > DROP_LIMIT);
      const stroke = run.plan.steps[0]!.stroke;
      expect(
        drops.map((d) => d.side),
        name,
      ).toContain(side);
      const found = drops.find((d) => d.side === side)!;
      expect(Math.abs(found.displacement - place * stroke), name).toBeLessThan(0.08 * stroke);
      expect(Math.abs(found.share - 0.12), name).toBeLessThan(0.04);
      if (drops.some((d) => d.side === other(side))) strayed.push(name);
    }
    expect(strayed.length, strayed.join('\n')).toBeLessThanOrEqual(0.01 * count);
  });
});

describe('force that does not settle', () => {
  it('is told with its sign and size: 12 % less over the first step, 4 % over the second', async () => {
    const plan = {
      drive: 'sine',
      velocities: [0.1, 0.3],
      cycles: 8,
      forceNoise: 3,
      dwell: 'none',
      startPhase: 0,
    } as const;
    const { run, damper } = simulateBench(70_000, { ...plan, trailingPhase: 0 });
    const duration = run.time.at(-1)!;
    const force = run.force.map((f, row) => f * (1 - (0.16 * run.time[row]!) / duration));
    const { log, analysis } = await analyseSimulated({ run: { ...run, force }, damper });
    const told = analysis.notSettled.filter(({ pValue }) => pValue < 0.01);
    expect(told.map((t) => `${t.step.step} ${t.side}`)).toEqual([
      '0 compression',
      '0 rebound',
      '1 compression',
      '1 rebound',
    ]);
    for (const { step, side, change } of told) {
      // Six of eight cycles lie between the middles of the first and the last used one; force is less than at the start by then.
      const share = step.step === 0 ? 0.12 * (6 / 8) * (1 / (1 - 0.06)) : 0.04 * (6 / 8) * (1 / (1 - 0.14));
      expect(change / log.steps[step.step]![side].force / -share).toBeCloseTo(1, 0.7);
    }
  });
});

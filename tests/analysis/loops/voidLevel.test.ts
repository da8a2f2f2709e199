import { describe, expect, it } from 'vitest';
import type { VoidMeasure } from '../../../src/analysis/runAnalysis';
import type { SimulatedDamper } from '../../simulator/damper';
import { analysePlain, runPlain } from '../plainDamper';

async function voidsOf(
  damper: Partial<SimulatedDamper>,
  forceZero: 'unloaded' | 'mounted' | 'unknown',
  bench: { readonly forceZero?: number } = {},
): Promise<readonly VoidMeasure[]> {
  const { log } = await runPlain({ damper, bench: { forceNoise: 2, ...bench } });
  return analysePlain([log], { forceZero }).voids;
}

/** 343 N of gas and 40 N of friction lie well apart from zero. */
describe('where force stays during a void', () => {
  it('at gas level: the damper itself is empty there, whatever is known of the zero', async () => {
    for (const forceZero of ['unloaded', 'unknown'] as const) {
      const voids = await voidsOf({ faults: { voids: { rebound: 0.003 } } }, forceZero);
      expect(voids.map((v) => [v.side, v.at])).toEqual([['rebound', 'gas level']]);
      expect(Math.abs(voids[0]!.length - 0.003)).toBeLessThan(0.0004);
    }
  });

  it('at zero: play in mounting or rod end, on both sides', async () => {
    for (const forceZero of ['unloaded', 'unknown'] as const) {
      const voids = await voidsOf({ faults: { mountingPlay: 0.003 } }, forceZero);
      expect(voids.map((v) => [v.side, v.at])).toEqual([
        ['compression', 'zero'],
        ['rebound', 'zero'],
      ]);
    }
  });

  it('undecided where the load cell was zeroed with the damper mounted, as its zero is then gas level', async () => {
    // Zeroed at mid-stroke, and at some other place where gas was 150 N more.
    for (const zero of [-342.9, -492.9]) {
      const voids = await voidsOf({ faults: { voids: { rebound: 0.003 } } }, 'mounted', { forceZero: zero });
      expect(voids.map((v) => [v.side, v.at])).toEqual([['rebound', 'undecided']]);
    }
  });

  it('undecided where nobody knows of the zero and gas reads as nothing', async () => {
    const voids = await voidsOf({ faults: { voids: { rebound: 0.003 } } }, 'unknown', { forceZero: -342.9 });
    expect(voids.map((v) => [v.side, v.at])).toEqual([['rebound', 'undecided']]);
  });

  it('undecided without gas and friction to tell it from zero', async () => {
    const noGas = { rodDiameter: 0.018, pressure: 0, volume: 1, exponent: 1 };
    const voids = await voidsOf({ gas: noGas, friction: 5, faults: { voids: { rebound: 0.003 } } }, 'unloaded');
    expect(voids.map((v) => [v.side, v.at])).toEqual([['rebound', 'undecided']]);
  });
});

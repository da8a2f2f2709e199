import { describe, expect, it } from 'vitest';
import type { RunContext } from '../../../src/analysis/analyseRun';
import { gasInMotion } from '../../../src/analysis/gas/gasInMotion';
import { straightGas } from '../../../src/analysis/gas/gasModel';
import type { RunAnalysis } from '../../../src/analysis/runAnalysis';
import { gasForce, gasRate } from '../../simulator/gasSpring';
import type { GasSpring } from '../../simulator/gasSpring';
import type { PlainTest } from '../plainDamper';
import { analysePlain, MIDDLE, PLAIN, ROD_AREA, runPlain } from '../plainDamper';

/** A tight charge: 12 bar in 40 cm3, a quarter of which the rod takes at mid-stroke. */
const CHARGE: GasSpring = { ...PLAIN.gas!, volume: 40e-6 };
const SLOWLY = 1.0;
const MOVING = 1.3;
const COLD = 293.15;
const WARM = 318.15;
/** Valves alone at 0.6 and 0.9 m/s: 2000 and 3000 N s/m and 40 N of friction. */
const DAMPING = [1240, -1840, 1840, -2740];
const HARDWARE = { rodArea: ROD_AREA, gasVolume: CHARGE.volume };

/** Staircase with the exponent of a moving gas; static log in the cold with the one of a gas held still. NaN leaves `midPosition` out. */
async function analysed(
  context: Partial<RunContext>,
  { temperature, exponent = SLOWLY, zero = 0 }: { temperature: number; exponent?: number; zero?: number },
): Promise<RunAnalysis> {
  const heated = { temperature: true, startTemperature: temperature };
  const bench = { forceZero: zero };
  const fast: PlainTest = {
    velocities: [0.6, 0.9],
    cycles: 3,
    damper: { gas: { ...CHARGE, exponent: MOVING } },
    bench: { ...bench, sampleRate: 1000 },
    ...heated,
  };
  const slow: PlainTest = {
    velocities: [0.0025, 0.005, 0.01],
    plan: { drive: 'triangle' },
    cycles: 2,
    damper: { gas: { ...CHARGE, exponent } },
    bench: { ...bench, sampleRate: 200 },
    temperature: true,
    startTemperature: COLD,
  };
  const logs = [(await runPlain(fast)).log, (await runPlain(slow)).log];
  const { midPosition = MIDDLE, ...others } = context;
  return analysePlain(logs, {
    kinds: ['staircase', 'static'],
    hardware: HARDWARE,
    ...(!Number.isNaN(midPosition) && { midPosition }),
    ...others,
  });
}

function worstError({ points }: RunAnalysis): number {
  return Math.max(...points.map(({ damping }, i) => Math.abs(damping - DAMPING[i]!)));
}

describe('gas of a static log in the moving test', () => {
  it('the simulator itself shows what is at stake: tens of newtons between slow and cold, moving and warm', () => {
    const slow = gasForce({ ...CHARGE, exponent: SLOWLY }, MIDDLE, COLD);
    expect(gasForce({ ...CHARGE, exponent: MOVING }, MIDDLE, COLD) - slow).toBeGreaterThan(30);
    expect(gasForce({ ...CHARGE, exponent: MOVING }, MIDDLE, WARM) - slow).toBeGreaterThan(70);
  });

  it.each([COLD, WARM])(
    'is carried to the exponent and temperature of the steps: damping within 1 N at %s K',
    async (temperature) => {
      const analysis = await analysed({}, { temperature });
      const { gas } = analysis;
      expect(gas.source).toBe('static');
      expect(gas.reason).toBeUndefined();
      const moving = { ...CHARGE, exponent: MOVING };
      expect(Math.abs(gas.force - gasForce(moving, MIDDLE, COLD))).toBeLessThan(1);
      expect(gas.rate! / gasRate(moving, MIDDLE, COLD)).toBeCloseTo(1, 1.5);
      expect(worstError(analysis)).toBeLessThan(1);
    },
  );

  it('a static log that was not quite still, exponent 1.1, stays within what is stated', async () => {
    const analysis = await analysed({}, { temperature: COLD, exponent: 1.1 });
    expect(worstError(analysis)).toBeGreaterThan(5);
    analysis.points.forEach((point, i) => {
      expect(Math.abs(point.damping - DAMPING[i]!)).toBeLessThan(point.uncertainty.U);
    });
  });

  it('where the zero of the load cell is not known, the charge of the spec says what changes', async () => {
    const context = { forceZero: 'unknown' as const, hardware: { ...HARDWARE, gasPressure: CHARGE.pressure } };
    expect(worstError(await analysed(context, { temperature: WARM, zero: -150 }))).toBeLessThan(1);
  });

  it.each([
    ['the gas volume', { hardware: { rodArea: ROD_AREA } }],
    ['the rod', { hardware: { gasVolume: CHARGE.volume } }],
    ['the mid position of the test', { midPosition: NaN }],
    ['the gas pressure, or a load cell zeroed unloaded', { forceZero: 'mounted' as const }],
  ])('without %s force stays as it is, and says what is missing; the truth lies within U', async (missing, without) => {
    const analysis = await analysed(without, { temperature: COLD });
    expect(analysis.gas.reason).toContain(missing);
    expect(Math.abs(analysis.gas.force - gasForce({ ...CHARGE, exponent: SLOWLY }, MIDDLE, COLD))).toBeLessThan(1);
    analysis.points.forEach((point, i) => {
      expect(Math.abs(point.damping - DAMPING[i]!)).toBeLessThan(point.uncertainty.U);
    });
  });

  it('a through rod, or no gas, changes nothing and adds no doubt', () => {
    const gas = { model: straightGas(3, 0), u: 1, temperature: COLD, heldStill: true };
    for (const hardware of [{ rod: 'through' as const }, { gas: 'none' as const }]) {
      const moving = gasInMotion(gas, { hardware, forceZero: 'unloaded' });
      expect(moving.modelAt(WARM).force).toBe(3);
      expect(moving.uncertaintyAt(WARM)).toEqual({ fit: 1, temperature: 0 });
      expect(moving.missing).toBeUndefined();
    }
  });

  it('worked by hand: 9 bar of gas in 64 cm3 under a 14 mm rod, 60 mm in, from 20 to 30 °C', () => {
    // Held still 8 bar x 64 / (64 - 153.938 mm2 x 60 mm) by hand: s = 64 / 54.7637 = 1.168657; 0.901325 MPa x s = 1.053340 MPa; less
    // 0.101325 MPa, times 153.938 mm2: 146.551 N. Moving: x s^0.3 = 1.047869, x 303.15 / 293.15 = 1.034112: 1.141413 MPa; 160.109 N.
    const rodArea = (Math.PI * 0.014 ** 2) / 4;
    const gas = { model: straightGas(146.551, 300), u: 1, temperature: 293.15, heldStill: true };
    const moving = gasInMotion(gas, {
      hardware: { rodArea, gasVolume: 64e-6 },
      midPosition: 0.06,
      forceZero: 'unloaded',
    });
    expect(moving.modelAt(303.15).force).toBeCloseTo(160.109, 1);
    // Doubt of the exponents: 162.15 N x 1.04787 x ln 1.168657 x 0.15 / sqrt 3 = 2.30 N, beside 1 N. Of the warming: half of 5.8 N over sqrt 3.
    expect(moving.uncertaintyAt(303.15).fit).toBeCloseTo(Math.hypot(2.3, 1), 1);
    expect(moving.uncertaintyAt(303.15).temperature).toBeCloseTo(1.6, 1);
  });
});

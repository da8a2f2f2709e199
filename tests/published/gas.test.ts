import { describe, expect, it } from 'vitest';
import { ATMOSPHERE, expectedGasForce, EXPONENT_MOVING, EXPONENT_STATIC } from '../../src/analysis/gas/expectedGasForce';
import { cavitationCeiling } from '../../src/analysis/loops/cavitationCeiling';

const ROD = (Math.PI * 0.018 ** 2) / 4;
const strut = { rodArea: ROD, gasPressure: 12e5 };

describe('gas against published values', () => {
  // Force = pressure x rod area; 18 mm: 254.47 mm2, 12 bar: 305.4 N (recomputed here from the definition of pressure).
  it('an 18 mm rod at 12 bar carries 305.4 N at full extension and 20 C', () => {
    expect(ROD * 1e6).toBeCloseTo(254.47, 2);
    expect(expectedGasForce(strut, 0, 293.15, EXPONENT_STATIC)).toBeCloseTo(305.4, 1);
  });

  // Accumulator engineering tables: nitrogen exponent 1.0 isothermal, 1.3 rapid cycling.
  it('uses the exponents of accumulator tables', () => {
    expect([EXPONENT_STATIC, EXPONENT_MOVING]).toEqual([1.0, 1.3]);
  });

  // Boyle's law: absolute pressure doubles where the volume is halved at one temperature.
  it('isothermal: half the volume doubles absolute pressure', () => {
    const volume = 80e-6;
    const force = expectedGasForce({ ...strut, gasVolume: volume }, volume / 2 / ROD, 293.15, EXPONENT_STATIC)!;
    expect(force / ROD + ATMOSPHERE).toBeCloseTo(2 * (12e5 + ATMOSPHERE), 3);
  });

  // p V^n = const: 2^1.3 = 2.4623 at half the volume.
  it('polytropic: half the volume gives 2^1.3 of absolute pressure', () => {
    const volume = 80e-6;
    const force = expectedGasForce({ ...strut, gasVolume: volume }, volume / 2 / ROD, 293.15, EXPONENT_MOVING)!;
    expect((force / ROD + ATMOSPHERE) / (12e5 + ATMOSPHERE)).toBeCloseTo(2.4623, 4);
  });

  // Gay-Lussac's law: absolute pressure goes with absolute temperature at constant volume.
  it('warming from 20 to 60 C raises absolute pressure by 40 / 293.15', () => {
    const force = expectedGasForce(strut, 0, 333.15, EXPONENT_STATIC)!;
    expect((force / ROD + ATMOSPHERE) / (12e5 + ATMOSPHERE)).toBeCloseTo(1 + 40 / 293.15, 9);
  });

  it('is nothing for a through rod or a damper without gas, and unknown without rod, charge or room for the rod', () => {
    expect(expectedGasForce({ rod: 'through' }, 0.03, 300, 1.3)).toBe(0);
    expect(expectedGasForce({ gas: 'none' }, 0.03, 300, 1.3)).toBe(0);
    expect(expectedGasForce({ gasPressure: 12e5 }, 0, 300, 1.3)).toBeUndefined();
    expect(expectedGasForce({ rodArea: ROD }, 0, 300, 1.3)).toBeUndefined();
    expect(expectedGasForce({ ...strut, gasVolume: 1e-6 }, 0.1, 300, 1.3)).toBeUndefined();
  });

  // Definition: absolute gas pressure x (piston area - rod area), as pressure behind the piston cannot fall below zero.
  it('limits compression damping of a 44 mm piston on that rod to 1647 N', () => {
    const pistonArea = (Math.PI * 0.044 ** 2) / 4;
    expect(cavitationCeiling({ ...strut, pistonArea }, 0, 293.15)).toBeCloseTo((12e5 + 101_325) * (pistonArea - ROD), 6);
    expect(cavitationCeiling({ ...strut, pistonArea }, 0, 293.15)!).toBeCloseTo(1647.6, 0);
    expect(cavitationCeiling({ ...strut, pistonArea, baseValve: true }, 0, 293.15)).toBeUndefined();
    expect(cavitationCeiling(strut, 0, 293.15)).toBeUndefined();
  });
});

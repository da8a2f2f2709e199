import { describe, expect, it } from 'vitest';
import { bare, machine, withSign } from '../../src/text/figures';

describe('figures', () => {
  it('brings SI to the units that the bench speaks', () => {
    expect(machine.speed(0.3)).toBe(300);
    expect(machine.speed(0.1001)).toBe(100.1);
    expect(machine.length(0.025)).toBe(25);
    expect(machine.percent(1.34)).toBe(134);
    expect(machine.celsius(304.15)).toBe(31);
    expect(machine.rate(1860)).toBe(1.86);
    expect(machine.size(6887.54)).toBe(6887.5);
    expect(machine.size(0.63662)).toBe(0.63662);
  });

  it('has no negative zero', () => {
    expect(Object.is(machine.force(-0.001), 0)).toBe(true);
    expect(bare.force(-0.04)).toBe('0.0');
    expect(bare.signedForce(-0.04)).toBe('0.0');
  });

  it('rounds once, from the measured value', () => {
    const measured = 12.3496; // the document says 12.35, which would round on to 12.4
    expect(machine.force(measured)).toBe(12.35);
    expect(bare.force(measured)).toBe('12.3');
  });

  it('says on which side of the tolerance a value lies', () => {
    expect(bare.wholeShare(0.0234)).toBe('2');
    expect(bare.wholeShare(1.34)).toBe('134');
    expect(bare.wholeShare(1)).toBe('100');
    expect(bare.wholeShare(1.004)).toBe('100.4');
    expect(bare.wholeShare(0.9998)).toBe('99.98');
    expect(bare.wholeShare(0.994)).toBe('99');
  });

  it('signs what is neither zero nor negative', () => {
    expect(withSign('12.0')).toBe('+12.0');
    expect(withSign('-12.0')).toBe('-12.0');
    expect(withSign('0.0')).toBe('0.0');
    expect(bare.signedForce(34.26)).toBe('+34.3');
    expect(bare.signedPercent(-0.0003)).toBe('0.0');
    expect(bare.signedPercent(0.0213)).toBe('+2.1');
    expect(bare.speed(0.1001)).toBe('100.1');
  });
});

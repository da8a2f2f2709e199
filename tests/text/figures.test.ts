import { describe, expect, it } from 'vitest';
import { bare, counted, listed, machine, shown, withSign } from '../../src/text/figures';
import { settingKey, settingText } from '../../src/text/settingText';

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
    expect(shown.force(-0.01)).toBe('0 N');
  });

  it('shows the rounding of the document, not a second rounding of the measurement', () => {
    const measured = 12.3496; // the document says 12.35
    expect(machine.force(measured)).toBe(12.35);
    expect(bare.force(measured)).toBe(bare.force(machine.force(measured)));
  });

  it('says on which side of the tolerance a value lies', () => {
    expect(shown.share(1.34)).toBe('134 %');
    expect(shown.share(1.004)).toBe('100.4 %');
    expect(shown.share(0.9998)).toBe('99.98 %');
    expect(shown.share(1)).toBe('100 %');
    expect(shown.share(0.0234)).toBe('2.3 %');
  });

  it('writes ranges, signs, counts and lists', () => {
    expect(shown.speedRange(0.3, 0.5)).toBe('300 to 500 mm/s');
    expect(shown.speedRange(0.3, 0.3)).toBe('300 mm/s');
    expect(withSign('12.0')).toBe('+12.0');
    expect(withSign('-12.0')).toBe('-12.0');
    expect(shown.speed(0.1004)).toBe('100 mm/s');
    expect(shown.speed(0.0247)).toBe('24.7 mm/s');
    expect(shown.force(894.6)).toBe('895 N');
    expect(shown.force(-34.26)).toBe('-34.3 N');
    expect(counted(1, 'point')).toBe('1 point');
    expect(counted(2, 'entry', 'entries')).toBe('2 entries');
    expect(listed(['a', 'b', 'c'])).toBe('a, b and c');
  });
});

describe('settings', () => {
  it('reads as called out at the bench', () => {
    expect(settingText({ LSC: 8, HSC: 3, R: 6 })).toBe('LSC 8, HSC 3, R 6');
    expect(settingText({ LSC: 8, HSC: 3, R: 6 }, { only: ['R'] })).toBe('R 6');
    expect(settingText({ C: 8 }, { only: ['R'] })).toBe('C 8');
    expect(settingText({ R: 2.5 }, { units: { R: 'turn' } })).toBe('R 2.5 turn');
    expect(settingText({})).toBe('');
  });
  it('tells settings apart, not their order', () => {
    expect(settingKey({ a: 1, b: 2 })).toBe(settingKey({ b: 2, a: 1 }));
    expect(settingKey({ a: 1 })).not.toBe(settingKey({ a: 2 }));
  });
});

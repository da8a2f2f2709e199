import { describe, expect, it } from 'vitest';
import { withHardware } from './ruleInputs';
import { judge } from './scenario';

describe('the cavitation ceiling of a point', () => {
  const ceilings = (baseValve: boolean | undefined) =>
    judge({ spec: withHardware(baseValve === undefined ? {} : { baseValve }) }).points.map((p) => [p.side, p.ceiling]);

  it('is that of the charge on the ring between piston and rod, in compression alone', () => {
    // 13.01 bar absolute, 35 mm in and at 35 °C 15.95 bar, on the 1266 mm2 between piston and rod: 2019 N, worked out apart
    for (const [side, ceiling] of ceilings(false))
      if (side === 'compression') expect(Math.abs(Number(ceiling) - 2019)).toBeLessThan(2);
      else expect(ceiling).toBeUndefined();
  });

  it('is not claimed where a base valve helps, nor where the spec does not say', () => {
    for (const baseValve of [true, undefined])
      expect(ceilings(baseValve).every(([, ceiling]) => ceiling === undefined)).toBe(true);
  });
});

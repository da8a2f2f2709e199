import { beforeAll, describe, expect, it } from 'vitest';
import { median } from '../../../src/analysis/statistics/quantile';
import { expandUncertainty } from '../../../src/analysis/uncertainty/expand';
import { BANDS, Coverage, readings } from './coverageStrata';
import { trueForce } from './simulatedLogs';
import { thorough } from '../../thorough';

/** Of the load cell's force at peak speed: the stated parts but that of the gas force, which is taken off afterwards. */
describe('stated 95 % uncertainty of the force at peak speed', () => {
  const coverage = new Coverage();
  /** U over force at 3 to 15 N of noise. */
  const relativeU: number[] = [];

  beforeAll(async () => {
    for await (const reading of readings(thorough ? 200 : 4)) {
      for (const point of reading.analysis.points) {
        const { parts, benchIncluded } = point.uncertainty;
        expect(parts.map(({ name }) => name)).toEqual(['cycles', 'method', 'gas']);
        const { U } = expandUncertainty(parts.slice(0, 2), benchIncluded);
        const force = trueForce(reading.truth[point.key.step]!, point.side);
        coverage.add(reading, point, point.force - force, U);
        if (reading.band === BANDS[0]) relativeU.push(U / Math.abs(force));
      }
    }
  }, 1_800_000);

  it('covers 93 to 97 % in each stratum of cycles, side and speed third at 3 to 15 N of noise', () => {
    coverage.expectWithin(BANDS[0]);
  });

  it('covers at least 93 % below 3 N', () => {
    coverage.expectWithin(BANDS[1]);
  });

  it('has a median under 0.2 % of the force at 3 to 15 N', () => {
    expect(median(relativeU)).toBeLessThan(0.002);
  });
});

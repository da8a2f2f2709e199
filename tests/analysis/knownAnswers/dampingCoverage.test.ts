import { beforeAll, describe, it } from 'vitest';
import { BANDS, Coverage, readings } from './coverageStrata';
import type { Simulation } from './simulatedLogs';
import { analyseSimulated, trueForce, withoutNoise } from './simulatedLogs';
import { thorough } from '../../thorough';

const DAMPERS = thorough ? 100 : 3;

/**
 * Damping force with all that is stated. Truth is force less gas where a fit tells gas; where there is only the constant force, whatever it
 * consists of, truth is force less the constant force of the log without noise. The load cell's zero does not drift: how far it may is
 * for the bench's data to say, as no log can tell it from valves. All points of a log share one gas force, so that few logs are few draws.
 */
describe('stated 95 % uncertainty of damping force', () => {
  const coverage = new Coverage();

  beforeAll(async () => {
    let noiseless: { readonly of: Simulation; readonly constant: number } | undefined;
    for await (const reading of readings(DAMPERS, { forceDrift: 0 })) {
      const { analysis, simulated, truth } = reading;
      const fitted = analysis.gas.source === 'fit';
      if (!fitted && noiseless?.of !== simulated) noiseless = { of: simulated, constant: await constantOf(simulated) };
      for (const point of analysis.points) {
        const at = truth[point.key.step]!;
        const damping = trueForce(at, point.side) - (fitted ? at.gas : noiseless!.constant);
        coverage.add(reading, point, point.damping - damping, point.uncertainty.U);
      }
    }
  }, 1_800_000);

  it.each(BANDS)('covers $least, and at most $most, of points at $name of noise', (band) => {
    coverage.expectWithin(band, () => 2 * DAMPERS);
  });
});

/** Constant force of the same log without noise [N]. */
async function constantOf(simulated: Simulation): Promise<number> {
  const { analysis } = await analyseSimulated({ ...simulated, run: withoutNoise(simulated.run) });
  return analysis.gas.force;
}

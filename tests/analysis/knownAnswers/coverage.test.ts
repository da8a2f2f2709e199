import { describe, expect, it } from 'vitest';
import { methodUncertainty, poolCycleScatter } from '../../../src/analysis/points/pooling';
import { reduceLog } from '../../../src/analysis/reduceLog';
import { SIDES } from '../../../src/analysis/side';
import { normalQuantile, studentQuantile } from '../../../src/analysis/statistics/distributions';
import { median } from '../../../src/analysis/statistics/quantile';
import { createRandom } from '../../simulator/random';
import { chunksOf } from '../../simulator/sampleChunks';
import { matchSteps, simulateBench, speedThird, thorough, trueForce, withNoise } from './simulatedLogs';

interface Share {
  covered: number;
  points: number;
}
interface Coverage {
  readonly strata: ReadonlyMap<string, Share>;
  /** Expanded uncertainty over force. */
  readonly relativeU: number[];
}

/**
 * What the log alone can tell: type A pooled over the log and the method's own term, combined as in JCGM 100:2008 with
 * Welch-Satterthwaite degrees of freedom, Student's t, 95 %.
 */
async function coverage(dampers: number, from: number, to: number): Promise<Coverage> {
  const strata = new Map<string, Share>();
  const relativeU: number[] = [];
  for (let seed = 9000; seed < 9000 + dampers; seed++) {
    for (const cycles of [3, 4, 8]) {
      const { run } = simulateBench(seed, { cycles, forceNoise: 0 });
      const random = createRandom(seed * 10 + cycles);
      for (let repeat = 0; repeat < 2; repeat++) {
        const noisy = withNoise(run, random.uniform(from, to), random);
        const log = await reduceLog(chunksOf(noisy, 50_000), { adjusters: 0 });
        const pairs = matchSteps({ run, log })!;
        const points = pairs.flatMap(({ step, truth }, index) =>
          SIDES.map((side) => ({ side, index, step, truth, scatter: { cycles: step.cyclesUsed, ...step[side] } })),
        );
        const pooled = poolCycleScatter(points.map(({ scatter }) => scatter));
        points.forEach(({ side, index, step, truth }, i) => {
          const { u, df } = pooled[i]!;
          const force = trueForce(truth, side);
          const combined = Math.hypot(u, methodUncertainty(force));
          const U = studentQuantile(0.975, df * (combined / u) ** 4) * combined;
          const key = `${cycles} cycles, ${side}, third ${speedThird(index, pairs.length)}`;
          const share = strata.get(key) ?? { covered: 0, points: 0 };
          strata.set(key, share);
          share.points++;
          if (Math.abs(step[side].force - force) <= U) share.covered++;
          relativeU.push(U / Math.abs(force));
        });
      }
    }
  }
  return { strata, relativeU };
}

/** With few points the share is only known to its binomial scatter; 99.9 %, two-sided, over the strata together. */
function allowance({ points }: Share, limit: number, strata: number): number {
  if (thorough) return 0;
  return normalQuantile(1 - 0.0005 / strata) * Math.sqrt((limit * (1 - limit)) / points);
}

describe('stated 95 % uncertainty of the force at peak speed', () => {
  it('covers 93 to 97 % in each stratum of cycles, side and speed third at 3 to 15 N of noise, with a median under 0.2 % of the force', async () => {
    const { strata, relativeU } = await coverage(thorough ? 200 : 6, 3, 15);
    expect(strata.size).toBe(18);
    for (const [key, share] of strata) {
      const covered = share.covered / share.points;
      expect(covered, `${key}: ${share.covered} of ${share.points}`).toBeGreaterThanOrEqual(
        0.93 - allowance(share, 0.93, 18),
      );
      expect(covered, `${key}: ${share.covered} of ${share.points}`).toBeLessThanOrEqual(
        0.97 + allowance(share, 0.97, 18),
      );
    }
    expect(median(relativeU)).toBeLessThan(0.002);
  });

  it('covers at least 93 % below 3 N', async () => {
    const { strata } = await coverage(thorough ? 200 : 3, 0, 3);
    for (const [key, share] of strata) {
      const covered = share.covered / share.points;
      expect(covered, `${key}: ${share.covered} of ${share.points}`).toBeGreaterThanOrEqual(
        0.93 - allowance(share, 0.93, 18),
      );
    }
  });
});

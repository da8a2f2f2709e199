import type { RoughnessMeasure } from '../runAnalysis';
import { SIDES } from '../side';
import type { RunStep } from './runSteps';

/** Fewer places than this give no ratio to rely on. */
const LEAST_SAMPLES = 40;
/**
 * What a quadratic leaves of a healthy loop is at most this, whatever the noise: a share of the force, and the last digits of a channel
 * with hardly any noise [N]. Roughness below it would be the method's own.
 */
const OWN_SHARE = 0.001;
const OWN_FORCE = 0.5;

/** Force that a local quadratic does not explain, over the noise of the log, of every step and side. */
export function roughnessOfRun(steps: readonly RunStep[]): RoughnessMeasure[] {
  return steps.flatMap((run) =>
    SIDES.flatMap((side) => {
      const { roughness, force } = run.step[side];
      if (roughness.samples < LEAST_SAMPLES) return [];
      const noise = Math.hypot(run.log.forceNoise, OWN_FORCE, OWN_SHARE * force);
      return [
        {
          key: run.key,
          setting: run.setting,
          side,
          ratio: Math.sqrt(roughness.meanSquare) / noise,
          samples: roughness.samples,
          amplitude: Math.sqrt(Math.max(0, roughness.meanSquare - run.log.forceNoise ** 2)),
        },
      ];
    }),
  );
}

import type { RunStep } from '../loops/runSteps';
import type { Side } from '../side';
import { SIDES } from '../side';
import { poolCycleScatter } from './pooling';
import type { ScatterUncertainty } from './pooling';

/** Type A uncertainty of the force at peak speed of every step and side of a run; pooled within a log, as another log may have been taken with another noise. */
export function scatterOfRun(steps: readonly RunStep[]): (run: RunStep, side: Side) => ScatterUncertainty {
  const found = new Map<string, ScatterUncertainty>();
  for (const log of new Set(steps.map((s) => s.log))) {
    const sides = steps
      .filter((s) => s.log === log)
      .flatMap((run) => SIDES.map((side) => ({ run, side, point: run.step[side] })));
    const pooled = poolCycleScatter(
      sides.map(({ run, point }) => ({
        cycles: run.step.cyclesUsed,
        cycleSpread: point.cycleSpread,
        cycleScatter: point.cycleScatter,
        fitVariance: point.fitVariance,
      })),
    );
    sides.forEach(({ run, side }, i) => found.set(nameOf(run, side), pooled[i]!));
  }
  return (run, side) => found.get(nameOf(run, side))!;
}

function nameOf(run: RunStep, side: Side): string {
  return `${run.key.log} ${run.key.step} ${side}`;
}

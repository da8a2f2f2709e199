import type { RunGas } from '../gas/gasOfRun';
import { bySetting, sameSpeed } from '../loops/runSteps';
import type { RunStep } from '../loops/runSteps';
import { scatterOfRun } from '../points/runScatter';
import type { BenchUncertainty, MeasuredPoint } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { interpolatePchip } from '../statistics/pchip';
import { mean } from '../statistics/quantile';
import { pointUncertainty } from './pointUncertainty';

export interface PointsContext {
  readonly gas: RunGas;
  readonly bench?: BenchUncertainty;
}

/** Damping force of every step and side with its uncertainty; compression before rebound of the same step. */
export function measuredPoints(steps: readonly RunStep[], context: PointsContext): MeasuredPoint[] {
  const scatter = scatterOfRun(steps);
  const slopes = new Map<RunStep, Record<Side, number>>();
  for (const group of bySetting(steps)) {
    const compression = slopesOf(group, 'compression', context.gas);
    const rebound = slopesOf(group, 'rebound', context.gas);
    group.forEach((run, i) => slopes.set(run, { compression: compression[i]!, rebound: rebound[i]! }));
  }
  return steps.flatMap((run) =>
    SIDES.map((side) => {
      const { step } = run;
      const { force, peakSpeed } = step[side];
      const damping = force - context.gas.modelAt(run).force;
      const numbers = { run, side, force, slope: slopes.get(run)![side], cycles: scatter(run, side) };
      return {
        key: run.key,
        setting: run.setting,
        pass: run.pass,
        side,
        speed: peakSpeed,
        cycles: step.cyclesUsed,
        force,
        damping,
        uncertainty: pointUncertainty(numbers, context),
        ...(step.temperature !== undefined && { temperature: step.temperature.mean }),
      };
    }),
  );
}

/** Slope of damping over speed at every step of one setting, from the curve through them all; secant where there is but one speed. */
function slopesOf(group: readonly RunStep[], side: Side, gas: RunGas): number[] {
  const points = group
    .map((run) => ({
      speed: run.step[side].peakSpeed,
      damping: SIDE_SIGN[side] * (run.step[side].force - gas.modelAt(run).force),
    }))
    .sort((a, b) => a.speed - b.speed);
  const merged: (typeof points)[] = [];
  for (const point of points) {
    const last = merged.at(-1);
    if (last !== undefined && sameSpeed(last[0]!.speed, point.speed)) last.push(point);
    else merged.push([point]);
  }
  if (merged.length < 2) return group.map((run) => points[0]!.damping / run.step[side].peakSpeed);
  const curve = interpolatePchip(
    merged.map((same) => mean(same.map((p) => p.speed))),
    merged.map((same) => mean(same.map((p) => p.damping))),
  );
  return group.map((run) => curve(run.step[side].peakSpeed).slope);
}

import { cycleEnergy } from '../loops/cycleEnergy';
import type { PeakForce } from '../points/peakForce';
import { forceAtPeakSpeed } from '../points/peakForce';
import { mean } from '../statistics/quantile';
import type { Cycle } from './cycle';

/** The numbers of one cycle that are kept whatever becomes of it. SI. */
export interface CycleMeasure {
  /** First and last row of the moving part. */
  readonly firstRow: number;
  readonly lastRow: number;
  readonly startTime: number;
  readonly endTime: number;
  readonly compression: StrokeMeasure;
  readonly rebound: StrokeMeasure;
  readonly peakSpeed: number;
  readonly amplitude: number;
  readonly middle: number;
  readonly energy: number;
  readonly temperature: number | undefined;
  /** Follows the cycle before it without a rest, a gap or a dropped cycle between. */
  readonly followsOn: boolean;
}

export interface StrokeMeasure extends PeakForce {
  readonly peakSpeed: number;
  /** Time of the mid-stroke crossing [s]. */
  readonly t50: number;
  readonly strokeTime: number;
  readonly plateau: boolean;
  readonly phaseRate: number;
  /** Phase of a sine of this rate over the time from 10 to 90 % of travel [rad]. */
  readonly bodyPhase: number;
}

export function measureCycle(cycle: Cycle, followsOn: boolean): CycleMeasure {
  const { samples, compression, rebound, startTime, endTime, peakSpeed, amplitude, middle } = cycle;
  const from = Math.max(cycle.from, compression.from);
  const to = Math.min(cycle.to, rebound.to);
  return {
    firstRow: samples.firstRow + from,
    lastRow: samples.firstRow + to - 1,
    startTime,
    endTime,
    compression: measureOf(cycle, compression),
    rebound: measureOf(cycle, rebound),
    peakSpeed,
    amplitude,
    middle,
    energy: cycleEnergy(cycle),
    temperature: samples.temperature && mean(samples.temperature.subarray(from, to)),
    followsOn,
  };
}

function measureOf(cycle: Cycle, stroke: Cycle['compression']): StrokeMeasure {
  const { time, force } = cycle.samples;
  const { peakSpeed, t10, t50, t90, startTime, endTime, plateau, phaseRate } = stroke;
  return {
    ...forceAtPeakSpeed(time, force, stroke, cycle.marginFrom, cycle.marginTo),
    peakSpeed,
    t50,
    strokeTime: endTime - startTime,
    plateau,
    phaseRate,
    bodyPhase: phaseRate * (t90 - t10),
  };
}

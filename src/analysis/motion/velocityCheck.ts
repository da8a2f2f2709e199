import type { Cycle } from './cycle';

/** Beyond these a logged velocity disagrees with the motion and is not used. */
export const SCALE_LIMIT = 0.02;
export const LAG_LIMIT = 0.002;

/**
 * Holds a logged velocity against the travel. Over the body of a stroke its integral must be the travel (scale and sign); around a
 * turning point, where the velocity changes sign, a late velocity has an integral that the travel has not: a lag shifts the motion by
 * its time, so integral = scale (travel - lag x change of velocity). Least squares over all cycles so far, fast steps weigh most.
 */
export class VelocityCheck {
  private travelSquares = 0;
  private travelIntegral = 0;
  private changeSquares = 0;
  private changeTravel = 0;
  private changeIntegral = 0;

  add(cycle: Cycle, logged: Float64Array): void {
    const { time, displacement } = cycle.samples;
    const { compression, rebound } = cycle;
    const upFrom = sampleFrom(time, compression.firstIndex, compression.t10);
    const upTo = sampleFrom(time, upFrom, compression.t90);
    const downFrom = sampleFrom(time, upTo, rebound.t10);
    const downTo = sampleFrom(time, downFrom, rebound.t90);
    for (const [from, to] of [
      [upFrom, upTo],
      [downFrom, downTo],
    ] as const) {
      const travel = displacement[to]! - displacement[from]!;
      this.travelSquares += travel * travel;
      this.travelIntegral += travel * integral(time, logged, from, to);
    }
    const turn = compression.plateau ? 1 : 0.6; // share of peak speed at 90 and 10 % of the travel
    const change = -turn * (compression.peakSpeed + rebound.peakSpeed);
    this.changeSquares += change * change;
    this.changeTravel += change * (displacement[downFrom]! - displacement[upTo]!);
    this.changeIntegral += change * integral(time, logged, upTo, downFrom);
  }

  /** Scale (1 = equal) and lag [s] (positive = logged is late); undefined before the first cycle. */
  result(): { readonly scale: number; readonly lag: number } | undefined {
    if (!(this.travelSquares > 0)) return undefined;
    const scale = this.travelIntegral / this.travelSquares;
    const lag = scale === 0 ? 0 : (this.changeTravel - this.changeIntegral / scale) / this.changeSquares;
    return { scale, lag };
  }

  agrees(): boolean {
    const result = this.result();
    return result !== undefined && Math.abs(result.scale - 1) <= SCALE_LIMIT && Math.abs(result.lag) <= LAG_LIMIT;
  }
}

function sampleFrom(time: Float64Array, from: number, at: number): number {
  let i = from;
  while (time[i]! < at) i++;
  return i;
}

function integral(time: Float64Array, values: Float64Array, from: number, to: number): number {
  let twice = 0;
  for (let i = from + 1; i <= to; i++) twice += (values[i]! + values[i - 1]!) * (time[i]! - time[i - 1]!);
  return twice / 2;
}

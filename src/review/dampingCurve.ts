import { PchipCurve } from '../analysis/statistics/pchip';
import { speedMargin } from './plannedVelocity';

/** Share of the end's slope that an extrapolation may be wrong by, where the curve itself bends less. */
const SLOPE_DOUBT = 0.25;

/**
 * Damping force over speed of one side at one setting: monotone cubic (PCHIP) through the points that were measured; beyond its ends along
 * the end's slope, as far as a speed still counts as that of the end.
 */
export class DampingCurve {
  /** Its ends [m/s]. */
  readonly from: number;
  readonly to: number;
  /** As far as it may be read [m/s]. */
  private readonly least: number;
  private readonly most: number;
  /** Absent where there is one point alone: it has no slope of its own, so force is in proportion to speed. */
  private readonly curve: PchipCurve | undefined;

  /** @param speeds rising [m/s]. @param dampings as many, signed as force [N] */
  constructor(
    readonly speeds: readonly number[],
    readonly dampings: readonly number[],
  ) {
    this.from = speeds[0]!;
    this.to = speeds[speeds.length - 1]!;
    this.least = this.from - speedMargin(this.from);
    this.most = this.to + speedMargin(this.to);
    this.curve = speeds.length > 1 ? new PchipCurve(speeds, dampings) : undefined;
  }

  reaches(speed: number): boolean {
    return !(speed < this.least || speed > this.most);
  }

  /** [N], signed as force. @param speed within reach [m/s] */
  damping(speed: number): number {
    return this.curve === undefined ? this.dampings[0]! + this.change(speed) : this.curve.value(speed);
  }

  /** Standard uncertainty that reading beyond the ends adds [N]; 0 between them. */
  extrapolationU(speed: number): number {
    if (this.curve === undefined) return rectangular(Math.abs(this.change(speed)));
    const beyond = Math.max(this.from - speed, speed - this.to, 0);
    if (beyond === 0) return 0;
    const slope = this.curve.slope(speed);
    const bend = Math.abs(slope - this.endChord(speed < this.from ? 1 : this.speeds.length - 1));
    return rectangular(beyond * Math.max(bend, SLOPE_DOUBT * Math.abs(slope)));
  }

  /** Of the one point, the whole of which is in doubt. */
  private change(speed: number): number {
    return (this.dampings[0]! / this.from) * (speed - this.from);
  }

  /** Slope of the straight line to a point from the one before. */
  private endChord(i: number): number {
    return (this.dampings[i]! - this.dampings[i - 1]!) / (this.speeds[i]! - this.speeds[i - 1]!);
  }
}

/** Standard uncertainty of a quantity known to lie within +- `halfWidth` (JCGM 100:2008, 4.3.7). */
function rectangular(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

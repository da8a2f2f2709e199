import type { Cycle } from '../motion/cycle';
import type { SlowSamples } from '../reducedLog';

/** Speeds between which friction is past its stiction and the valves are nearly linear [m/s]. */
export const SLOW_FROM = 0.004;
export const SLOW_TO = 0.015;
const UNKNOWNS = 7;

/**
 * Gathers the samples near both turning points whose speed is between SLOW_FROM and SLOW_TO, as the normal equations of
 * F = gas(end) + sign(v) friction + slope(end, direction) v. One slope for each of the four branches, since a void after a reversal
 * changes one branch and leaves the other three alone.
 */
export class SlowSampleSums {
  // Each branch touches only its own gas, friction and slope, so sums by branch hold the whole matrix.
  private readonly counts = new Float64Array(4);
  private readonly velocity = new Float64Array(4);
  private readonly velocitySquares = new Float64Array(4);
  private readonly force = new Float64Array(4);
  private readonly forceVelocity = new Float64Array(4);
  private readonly displacement = new Float64Array(4);
  private readonly displacementVelocity = new Float64Array(4);
  private sumOfSquares = 0;

  /** Branches: 0 (+end, +v), 1 (+end, -v), 2 (-end, +v), 3 (-end, -v). */
  add(cycle: Cycle): void {
    const { displacement: x, velocity: v, force: f } = cycle.samples;
    const {
      counts,
      velocity,
      velocitySquares,
      force,
      forceVelocity,
      displacement,
      displacementVelocity,
      sumOfSquares,
    } = this;
    const { middle } = cycle;
    let squares = sumOfSquares;
    const from = Math.max(cycle.from, cycle.compression.from);
    const to = Math.min(cycle.to, cycle.rebound.to);
    for (let i = from; i < to; i++) {
      const vi = v[i]!;
      const speed = vi < 0 ? -vi : vi;
      if (!(speed > SLOW_FROM && speed < SLOW_TO)) continue;
      const dx = x[i]! - middle;
      const branch = (dx > 0 ? 0 : 2) + (vi > 0 ? 0 : 1);
      const fi = f[i]!;
      counts[branch]! += 1;
      velocity[branch]! += vi;
      velocitySquares[branch]! += vi * vi;
      force[branch]! += fi;
      forceVelocity[branch]! += fi * vi;
      displacement[branch]! += dx;
      displacementVelocity[branch]! += dx * vi;
      squares += fi * fi;
    }
    this.sumOfSquares = squares;
  }

  merge(other: SlowSampleSums): void {
    for (let b = 0; b < 4; b++) {
      this.counts[b]! += other.counts[b]!;
      this.velocity[b]! += other.velocity[b]!;
      this.velocitySquares[b]! += other.velocitySquares[b]!;
      this.force[b]! += other.force[b]!;
      this.forceVelocity[b]! += other.forceVelocity[b]!;
      this.displacement[b]! += other.displacement[b]!;
      this.displacementVelocity[b]! += other.displacementVelocity[b]!;
    }
    this.sumOfSquares += other.sumOfSquares;
  }

  finish(): SlowSamples {
    const normal = new Float64Array(UNKNOWNS * UNKNOWNS);
    const put = (row: number, column: number, value: number): void => {
      normal[row * UNKNOWNS + column]! += value;
      if (row !== column) normal[column * UNKNOWNS + row]! += value;
    };
    for (let b = 0; b < 4; b++) {
      const gas = b < 2 ? 0 : 1;
      const sign = b % 2 === 0 ? 1 : -1;
      const slope = 3 + b;
      const n = this.counts[b]!;
      put(gas, gas, n);
      put(gas, 2, sign * n);
      put(2, 2, n);
      put(gas, slope, this.velocity[b]!);
      put(2, slope, sign * this.velocity[b]!);
      put(slope, slope, this.velocitySquares[b]!);
    }
    return {
      normal,
      right: rightSide(this.force, this.forceVelocity),
      displacementRight: rightSide(this.displacement, this.displacementVelocity),
      sumOfSquares: this.sumOfSquares,
      positive: this.end(0),
      negative: this.end(2),
    };
  }

  private end(branch: 0 | 2): { readonly samples: number; readonly displacement: number } {
    const samples = this.counts[branch]! + this.counts[branch + 1]!;
    const sum = this.displacement[branch]! + this.displacement[branch + 1]!;
    return { samples, displacement: samples > 0 ? sum / samples : NaN };
  }
}

/** Right side of the normal equations from each branch's sum of a quantity, and of it times velocity. */
function rightSide(sums: Float64Array, sumsWithVelocity: Float64Array): Float64Array {
  const right = new Float64Array(UNKNOWNS);
  for (let b = 0; b < 4; b++) {
    right[b < 2 ? 0 : 1]! += sums[b]!;
    right[2]! += (b % 2 === 0 ? 1 : -1) * sums[b]!;
    right[3 + b] = sumsWithVelocity[b]!;
  }
  return right;
}

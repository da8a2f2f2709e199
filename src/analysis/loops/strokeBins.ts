import type { Cycle, Stroke } from '../motion/cycle';
import type { PhaseBins, TravelBins } from '../reducedLog';
import { PHASE_BINS, TRAVEL_BINS } from '../reducedLog';
import type { Side } from '../side';
import { SIDE_SIGN } from '../side';

const HALF = TRAVEL_BINS / 2;

/**
 * Gathers the strokes of one side over the cycles of a step: means of displacement, speed and force on equal parts of the stroke's
 * time, and, on equal parts of its travel, force against the same stroke mirrored in time about its peak speed.
 * Mirrored values are averaged over three neighbouring samples, as one alone would carry the noise twice.
 */
export class StrokeBins {
  private readonly count = new Float64Array(PHASE_BINS);
  private readonly displacement = new Float64Array(PHASE_BINS);
  private readonly speed = new Float64Array(PHASE_BINS);
  private readonly force = new Float64Array(PHASE_BINS);
  private readonly strokeCount = new Float64Array(PHASE_BINS);
  private readonly strokeForce = new Float64Array(PHASE_BINS);
  private readonly strokes = new Float64Array(PHASE_BINS);
  private readonly meanSum = new Float64Array(PHASE_BINS);
  private readonly meanSquares = new Float64Array(PHASE_BINS);
  private readonly travelCount = new Float64Array(TRAVEL_BINS);
  private readonly travelDisplacement = new Float64Array(TRAVEL_BINS);
  private readonly travelForce = new Float64Array(TRAVEL_BINS);
  private readonly mirroredDisplacement = new Float64Array(HALF);
  private readonly mirroredForce = new Float64Array(HALF);

  add(cycle: Cycle, side: Side): void {
    const stroke = side === 'compression' ? cycle.compression : cycle.rebound;
    const from = Math.max(stroke.from, cycle.from);
    const to = Math.min(stroke.to, cycle.to);
    if (to <= from || !(stroke.endTime > stroke.startTime)) return;
    this.addPhase(cycle, stroke, from, to);
    this.addTravel(cycle, stroke, from, to);
  }

  /** Adds what another instance has gathered. */
  merge(other: StrokeBins): void {
    for (const [mine, theirs] of this.pairedWith(other)) for (let i = 0; i < mine.length; i++) mine[i]! += theirs[i]!;
  }

  phase(): PhaseBins {
    const spread = new Float64Array(PHASE_BINS).fill(NaN);
    for (let b = 0; b < PHASE_BINS; b++) {
      const n = this.strokes[b]!;
      if (n >= 2)
        spread[b] = Math.sqrt(Math.max(0, this.meanSquares[b]! - (this.meanSum[b]! * this.meanSum[b]!) / n) / (n - 1));
    }
    const { count } = this;
    return {
      count: count.slice(),
      displacement: means(this.displacement, count),
      speed: means(this.speed, count),
      force: means(this.force, count),
      forceSpread: spread,
    };
  }

  travel(): TravelBins {
    const count = this.travelCount;
    return {
      count: count.slice(),
      displacement: means(this.travelDisplacement, count),
      force: means(this.travelForce, count),
      mirroredDisplacement: means(this.mirroredDisplacement, count),
      mirroredForce: means(this.mirroredForce, count),
    };
  }

  private addPhase(cycle: Cycle, stroke: Stroke, from: number, to: number): void {
    const { time: t, displacement: x, velocity: v, force: f } = cycle.samples;
    const { count, displacement, speed, force, strokeCount, strokeForce } = this;
    const scale = PHASE_BINS / (stroke.endTime - stroke.startTime);
    const start = stroke.startTime;
    const middle = (stroke.x0 + stroke.x1) / 2;
    strokeCount.fill(0);
    strokeForce.fill(0);
    for (let i = from; i < to; i++) {
      let b = ((t[i]! - start) * scale) | 0;
      if (b < 0) b = 0;
      else if (b >= PHASE_BINS) b = PHASE_BINS - 1;
      strokeCount[b]! += 1;
      strokeForce[b]! += f[i]!;
      displacement[b]! += x[i]! - middle;
      speed[b]! += Math.abs(v[i]!);
    }
    for (let b = 0; b < PHASE_BINS; b++) {
      const n = strokeCount[b]!;
      if (n === 0) continue;
      count[b]! += n;
      force[b]! += strokeForce[b]!;
      const mean = strokeForce[b]! / n;
      this.strokes[b]! += 1;
      this.meanSum[b]! += mean;
      this.meanSquares[b]! += mean * mean;
    }
  }

  private addTravel(cycle: Cycle, stroke: Stroke, from: number, to: number): void {
    const { time: t, displacement: x, force: f } = cycle.samples;
    const { travelCount, travelDisplacement, travelForce, mirroredDisplacement, mirroredForce } = this;
    const middle = (stroke.x0 + stroke.x1) / 2;
    const start = stroke.x0;
    const scale = (SIDE_SIGN[stroke.side] * TRAVEL_BINS) / Math.abs(stroke.x1 - stroke.x0);
    const twicePeak = 2 * stroke.peakTime;
    // The mirrored time runs backwards while i runs forwards, so one pointer that only falls is enough.
    let j = Math.min(to, cycle.marginTo - 2);
    const lowest = cycle.marginFrom + 2;
    let i = from;
    for (; i < to && t[i]! < stroke.peakTime; i++) {
      const mirrored = twicePeak - t[i]!;
      if (mirrored > stroke.endTime) continue;
      while (j > lowest && t[j - 1]! >= mirrored) j--;
      if (j < lowest || t[j]! < mirrored) continue;
      let b = ((x[i]! - start) * scale) | 0;
      if (b >= HALF) continue;
      if (b < 0) b = 0;
      const q = (mirrored - t[j - 1]!) / (t[j]! - t[j - 1]!);
      travelCount[b]! += 1;
      travelDisplacement[b]! += x[i]! - middle;
      travelForce[b]! += f[i]!;
      mirroredDisplacement[b]! += (x[j - 1]! + x[j]! + (1 - q) * x[j - 2]! + q * x[j + 1]!) / 3 - middle;
      mirroredForce[b]! += (f[j - 1]! + f[j]! + (1 - q) * f[j - 2]! + q * f[j + 1]!) / 3;
    }
    for (; i < to; i++) {
      let b = ((x[i]! - start) * scale) | 0;
      if (b < HALF) continue;
      if (b >= TRAVEL_BINS) b = TRAVEL_BINS - 1;
      travelCount[b]! += 1;
      travelDisplacement[b]! += x[i]! - middle;
      travelForce[b]! += f[i]!;
    }
  }

  private pairedWith(other: StrokeBins): readonly (readonly [Float64Array, Float64Array])[] {
    return [
      [this.count, other.count],
      [this.displacement, other.displacement],
      [this.speed, other.speed],
      [this.force, other.force],
      [this.strokes, other.strokes],
      [this.meanSum, other.meanSum],
      [this.meanSquares, other.meanSquares],
      [this.travelCount, other.travelCount],
      [this.travelDisplacement, other.travelDisplacement],
      [this.travelForce, other.travelForce],
      [this.mirroredDisplacement, other.mirroredDisplacement],
      [this.mirroredForce, other.mirroredForce],
    ];
  }
}

/** Sums over counts, NaN where nothing was counted; as long as `sums`. */
function means(sums: Float64Array, counts: Float64Array): Float64Array {
  return sums.map((sum, i) => (counts[i]! > 0 ? sum / counts[i]! : NaN));
}

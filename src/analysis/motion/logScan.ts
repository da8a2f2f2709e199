import { median } from '../statistics/quantile';
import type { SampleChunk } from './sampleChunk';
import { ThinnedSeries } from './thinnedSeries';

/** What has to be known of a whole log before its strokes can be told apart. SI. */
export interface LogScale {
  readonly rows: number;
  readonly duration: number;
  /** Median of the intervals between samples [s]; NaN of fewer than two rows. */
  readonly sampleInterval: number;
  /** Standard deviation of the white part, from third differences. */
  readonly displacementNoise: number;
  readonly forceNoise: number;
  readonly displacementRange: readonly [number, number];
  readonly forceRange: readonly [number, number];
  /** Smallest change of force between neighbouring samples that is not zero [N]; Infinity where it never changes. */
  readonly forceResolution: number;
  readonly timeFaults: readonly TimeFault[];
}

/** A row whose time is not after the row before it. */
export interface TimeFault {
  readonly row: number;
  readonly time: number;
  readonly previous: number;
}

const KEPT_VALUES = 8192;
const KEPT_FAULTS = 100;

/** First look at a log, row by row in whatever chunks it comes. */
export class LogScan {
  private rows = 0;
  private firstTime = NaN;
  private low = Infinity;
  private high = -Infinity;
  private forceLow = Infinity;
  private forceHigh = -Infinity;
  private resolution = Infinity;
  private readonly intervals = new ThinnedSeries(KEPT_VALUES);
  private readonly displacementThirds = new ThinnedSeries(KEPT_VALUES);
  private readonly forceThirds = new ThinnedSeries(KEPT_VALUES);
  private readonly faults: TimeFault[] = [];
  /** The three rows before the present chunk, oldest first. */
  private readonly lastTimes = new Float64Array(3).fill(NaN);
  private readonly lastDisplacements = new Float64Array(3).fill(NaN);
  private readonly lastForces = new Float64Array(3).fill(NaN);

  add(chunk: SampleChunk): void {
    if (chunk.rows === 0) return;
    if (this.rows === 0) this.firstTime = chunk.time[0]!;
    this.scanRanges(chunk);
    this.scanTimes(chunk);
    this.sampleDifferences(chunk);
    keepLast(this.lastTimes, chunk.time, chunk.rows);
    keepLast(this.lastDisplacements, chunk.displacement, chunk.rows);
    keepLast(this.lastForces, chunk.force, chunk.rows);
    this.rows += chunk.rows;
  }

  finish(): LogScale {
    return {
      rows: this.rows,
      duration: this.rows === 0 ? 0 : this.lastTimes[2]! - this.firstTime,
      sampleInterval: median(this.intervals.kept()),
      displacementNoise: noiseFromThirdDifferences(this.displacementThirds.kept()),
      forceNoise: noiseFromThirdDifferences(this.forceThirds.kept()),
      displacementRange: [this.low, this.high],
      forceRange: [this.forceLow, this.forceHigh],
      forceResolution: this.resolution,
      timeFaults: this.faults,
    };
  }

  private scanRanges(chunk: SampleChunk): void {
    const { rows, displacement, force } = chunk;
    let { low, high, forceLow, forceHigh, resolution } = this;
    let before = this.lastForces[2]!;
    for (let i = 0; i < rows; i++) {
      const x = displacement[i]!;
      if (x < low) low = x;
      if (x > high) high = x;
      const f = force[i]!;
      if (f < forceLow) forceLow = f;
      if (f > forceHigh) forceHigh = f;
      const change = Math.abs(f - before);
      if (change < resolution && change > 0) resolution = change;
      before = f;
    }
    this.low = low;
    this.high = high;
    this.forceLow = forceLow;
    this.forceHigh = forceHigh;
    this.resolution = resolution;
  }

  private scanTimes(chunk: SampleChunk): void {
    const { rows, time } = chunk;
    let previous = this.lastTimes[2]!;
    for (let i = 0; i < rows; i++) {
      const now = time[i]!;
      if (now <= previous && this.faults.length < KEPT_FAULTS) {
        this.faults.push({ row: this.rows + i, time: now, previous });
      }
      previous = now;
    }
  }

  private sampleDifferences(chunk: SampleChunk): void {
    const { rows, time, displacement, force } = chunk;
    const first = this.rows;
    let row = first;
    while (row < first + rows) {
      const i = row - first;
      if (row > 0) this.intervals.add(row, time[i]! - (i > 0 ? time[i - 1]! : this.lastTimes[2]!));
      if (row > 2) {
        this.displacementThirds.add(row, thirdDifference(displacement, this.lastDisplacements, i));
        this.forceThirds.add(row, thirdDifference(force, this.lastForces, i));
      }
      const stride = Math.min(this.intervals.stride, this.displacementThirds.stride);
      row = (Math.floor(row / stride) + 1) * stride;
    }
  }
}

/** Median of |third difference|: 0.6745 sigma sqrt(1 + 9 + 9 + 1) for white noise on a motion that is smooth over four samples. */
function noiseFromThirdDifferences(differences: Float64Array): number {
  if (differences.length === 0) return 0;
  return median(differences.map(Math.abs)) / 0.674489750196082 / Math.sqrt(20);
}

function thirdDifference(values: Float64Array, before: Float64Array, i: number): number {
  const d = values[i]!;
  const c = i > 0 ? values[i - 1]! : before[2]!;
  const b = i > 1 ? values[i - 2]! : before[i + 1]!;
  const a = i > 2 ? values[i - 3]! : before[i]!;
  return d - 3 * c + 3 * b - a;
}

function keepLast(last: Float64Array, values: Float64Array, rows: number): void {
  if (rows < 3) last.copyWithin(0, rows);
  for (let k = Math.max(0, 3 - rows); k < 3; k++) last[k] = values[rows - 3 + k]!;
}

import type { LogEvent } from '../reducedLog';
import type { CycleRecord } from './cycleRecord';
import { pairStrokes, restBetween } from './cycleRecord';
import type { LogScale } from './logScan';
import type { SegmentEdge } from './recordEdge';
import { isCutAtEnd, isCutAtStart } from './recordEdge';
import type { SampleBuffer } from './sampleBuffer';
import type { SampleChunk } from './sampleChunk';
import type { StrokeRecord } from './strokeRecord';
import { measureStroke } from './strokeRecord';
import { TurningPoints } from './turningPoints';

/** What becomes of the strokes and cycles that are found, in the order of the log. */
export interface MotionListener {
  onStroke(stroke: StrokeRecord): void;
  onCycle(cycle: CycleRecord): void;
  /** The motion paused at a turning point, or the record did: what follows is another step. */
  onPause(): void;
}

/** A gap is longer than this many usual intervals, and than the interval before it (a log may change its rate). */
const GAP_INTERVALS = 5;
const GAP_OVER_PREVIOUS = 2.5;
const HYSTERESIS_OF_RANGE = 0.04;
const HYSTERESIS_OF_NOISE = 8;
/** A rest of so many rows ends a segment, so that it need not be kept in memory. */
const REST_ROWS = 131072;
/** A break in the record is a pause, whatever it cuts, when it is longer than so many cycles. */
const PAUSE_CYCLES = 3;
const KEPT_EVENTS = 100;
/**
 * Finds strokes and cycles in a log that is handed over in portions. Works on rows alone: how the log is cut into portions changes nothing.
 */
export class StrokeTracker {
  readonly events: LogEvent[] = [];
  private readonly turningPoints: TurningPoints;
  private readonly gapLimit: number;
  private segmentStart: SegmentEdge = { row: 0, time: 0 };
  private previousTime = NaN;
  private previousInterval = 0;
  /** Row that the search for turning points goes on from. */
  private scanRow = 0;
  private turnRow = -1;
  /** The last strokes of this segment, oldest first, four at most. */
  private recent: StrokeRecord[] = [];
  /** The break in the record that this segment begins after, until its first stroke is known. */
  private breakBefore: { row: number; duration: number; pause: boolean } | undefined;

  constructor(
    private readonly buffer: SampleBuffer,
    private readonly scale: LogScale,
    private readonly listener: MotionListener,
  ) {
    const [low, high] = scale.displacementRange;
    this.turningPoints = new TurningPoints(
      Math.max(HYSTERESIS_OF_RANGE * (high - low), HYSTERESIS_OF_NOISE * scale.displacementNoise),
    );
    this.gapLimit = GAP_INTERVALS * scale.sampleInterval;
  }

  /** Takes rows `from` to `to` (excluded) of a chunk. */
  add(chunk: SampleChunk, from: number, to: number): void {
    const { time, firstRow } = chunk;
    if (Number.isNaN(this.previousTime)) this.startSegment(firstRow + from, time[from]!);
    let start = from;
    for (let i = from; i < to; i++) {
      const interval = time[i]! - this.previousTime;
      if (interval > this.gapLimit || interval <= 0) {
        const isFirst = firstRow + i === this.segmentStart.row;
        const isGap = interval > GAP_OVER_PREVIOUS * this.previousInterval || interval <= 0;
        if (isGap && !isFirst) {
          this.buffer.append(chunk, start, i);
          start = i;
          this.breakSegment(firstRow + i, time[i]!, interval);
        }
      }
      if (interval > 0) this.previousInterval = interval;
      this.previousTime = time[i]!;
    }
    this.buffer.append(chunk, start, to);
    this.scanTo(firstRow + to);
  }

  finish(): void {
    this.scanTo(this.buffer.endRow);
    this.endSegment();
  }

  /** First row that is still needed here. */
  firstNeededRow(): number {
    const candidate = this.turningPoints.oldestRow();
    let row = candidate >= 0 ? Math.min(candidate, this.scanRow) : this.scanRow;
    if (this.turnRow >= 0) row = Math.min(row, this.turnRow);
    // Whether the break before the segment fell into a stroke is told by the rows that it begins with.
    if (this.breakBefore) row = Math.min(row, this.segmentStart.row);
    const oldest = this.recent[0];
    return oldest ? Math.min(row, oldest.firstRow) : row;
  }

  private startSegment(row: number, time: number): void {
    this.segmentStart = { row, time };
    this.scanRow = row;
    this.turnRow = -1;
    this.recent = [];
    this.turningPoints.restart();
  }

  private breakSegment(row: number, time: number, interval: number): void {
    this.scanTo(row);
    const end = this.lastEdge();
    const [before, last] = this.endSegment();
    const cycle = last ? 2 * (last.endTime - last.startTime) : 0;
    this.breakBefore = { row, duration: interval, pause: interval > PAUSE_CYCLES * cycle };
    if (last && isCutAtEnd(this.buffer, end, last, before, this.scale.sampleInterval)) this.reportGap();
    this.startSegment(row, time);
  }

  /** With the first two strokes of a segment it is known whether the break before it fell into a stroke. */
  private judgeBreakBefore(): void {
    const [first, second] = this.recent;
    if (first && this.breakBefore) {
      if (isCutAtStart(this.buffer, this.segmentStart, first, second, this.scale.sampleInterval)) this.reportGap();
      else this.listener.onPause();
    }
    this.breakBefore = undefined;
  }

  private reportGap(): void {
    const at = this.breakBefore;
    if (at === undefined) return;
    if (at.pause) this.listener.onPause();
    if (at.duration > 0 && this.events.length < KEPT_EVENTS) {
      this.events.push({ kind: 'gap-in-stroke', row: at.row, duration: at.duration });
    }
    this.breakBefore = undefined;
  }

  private lastEdge(): SegmentEdge {
    const row = this.buffer.endRow - 1;
    return { row, time: this.buffer.time[row - this.buffer.firstRow]! };
  }

  /** Looks for turning points up to this row (excluded), which must be in the buffer. */
  private scanTo(end: number): void {
    const points = this.turningPoints;
    while (this.scanRow < end) {
      const restRow = Math.max(points.candidateRow(), this.segmentStart.row) + REST_ROWS;
      const to = Math.min(end, restRow);
      if (points.scan(this.buffer.displacement, this.buffer.firstRow, this.scanRow, to))
        this.turnAt(points.confirmedRow);
      this.scanRow = points.nextRow;
      if (this.scanRow === restRow && points.candidateRow() + REST_ROWS <= restRow) this.endAtRest(restRow - 1);
    }
  }

  /** Nothing has moved for long: the segment ends here, and another begins with the same sample. */
  private endAtRest(row: number): void {
    this.endSegment(row);
    this.listener.onPause();
    this.startSegment(row, this.buffer.time[row - this.buffer.firstRow]!);
  }

  private turnAt(row: number): void {
    if (this.turnRow >= 0) {
      const stroke = measureStroke(this.buffer, this.turnRow, row);
      if (stroke) this.takeStroke(stroke);
      else this.recent = [];
    }
    this.turnRow = row;
  }

  private takeStroke(stroke: StrokeRecord): void {
    this.listener.onStroke(stroke);
    const { sampleInterval } = this.scale;
    this.recent.push(stroke);
    if (this.recent.length === 2) this.judgeBreakBefore();
    if (this.recent.length > 4) this.recent.shift();
    this.pairBefore(stroke);
    const before = this.recent.at(-2);
    if (before && restBetween(before, stroke, sampleInterval)) this.listener.onPause();
  }

  /** Completes the cycle of the two strokes before this one. */
  private pairBefore(next: StrokeRecord): void {
    const [previous, compression, rebound] = this.lastThree(this.recent.slice(0, -1));
    if (compression && rebound) this.pair(previous, compression, rebound, next, undefined);
  }

  private lastThree(strokes: readonly StrokeRecord[]): (StrokeRecord | undefined)[] {
    return [strokes.at(-3), strokes.at(-2), strokes.at(-1)];
  }

  private pair(
    previous: StrokeRecord | undefined,
    compression: StrokeRecord,
    rebound: StrokeRecord,
    next: StrokeRecord | undefined,
    end: SegmentEdge | undefined,
  ): void {
    const strokes = { previous, compression, rebound, next };
    const cycle = pairStrokes(strokes, this.segmentStart, end, this.scale.sampleInterval);
    if (cycle) this.listener.onCycle(cycle);
  }

  /** Takes the extremum that the segment ends with, and the cycle that ends with it. @returns the last two strokes. */
  private endSegment(lastRow = this.buffer.endRow - 1): (StrokeRecord | undefined)[] {
    const pending = this.turningPoints.pendingRow();
    if (pending >= 0) this.turnAt(pending);
    const [previous, compression, rebound] = this.lastThree(this.recent);
    if (this.recent.length === 1) this.judgeBreakBefore();
    if (compression && rebound) {
      const end = { row: lastRow, time: this.buffer.time[lastRow - this.buffer.firstRow]! };
      this.pair(previous, compression, rebound, undefined, end);
    }
    this.recent = [];
    return [compression, rebound];
  }
}

import type { Cycle } from './cycle';
import type { SegmentEdge } from './recordEdge';
import { endsEarly, startsLate } from './recordEdge';
import type { SampleBuffer } from './sampleBuffer';
import type { StrokeRecord } from './strokeRecord';
import { strokeInBuffer, turnShare } from './strokeRecord';

/** A complete cycle by rows of the log. */
export interface CycleRecord {
  readonly compression: StrokeRecord;
  readonly rebound: StrokeRecord;
  readonly previous: StrokeRecord | undefined;
  readonly next: StrokeRecord | undefined;
  /** Rows that may be read around the cycle; `marginEndRow` is the row after the last. */
  readonly marginFirstRow: number;
  readonly marginEndRow: number;
  readonly peakSpeed: number;
  readonly amplitude: number;
}

/** The strokes of one segment that meet at a cycle, and where the segment ends if it ends with it. */
export interface CycleStrokes {
  readonly previous: StrokeRecord | undefined;
  readonly compression: StrokeRecord;
  readonly rebound: StrokeRecord;
  readonly next: StrokeRecord | undefined;
}

const CLOSURE = 0.06;
const BODY_RATIO = 1.25;
const REST_SHARE = 1.8;

/** Whether the motion stood still at the turning point between two strokes. */
export function restBetween(before: StrokeRecord, after: StrokeRecord, sampleInterval: number): boolean {
  const expected = (turnShare(before) * before.body + turnShare(after) * after.body) / 2;
  return after.t10 - before.t90 > REST_SHARE * expected + 3 * sampleInterval;
}

/**
 * Makes a cycle of two strokes, or refuses: where it does not close within 6 % of the stroke, its strokes differ in speed as in a
 * transition, it rests at its far turn, or a segment's edge cuts it off.
 */
export function pairStrokes(
  strokes: CycleStrokes,
  start: SegmentEdge,
  end: SegmentEdge | undefined,
  sampleInterval: number,
): CycleRecord | undefined {
  const { compression, rebound, previous, next } = strokes;
  if (compression.side !== 'compression') return undefined;
  const travels = [compression.x1 - compression.x0, rebound.x0 - rebound.x1] as const;
  if (Math.abs(compression.x0 - rebound.x1) > CLOSURE * Math.max(...travels)) return undefined;
  const ratio = compression.body / rebound.body;
  if (ratio > BODY_RATIO || ratio * BODY_RATIO < 1) return undefined;
  if (restBetween(compression, rebound, sampleInterval)) return undefined;
  if (previous === undefined && startsLate(compression, start, sampleInterval)) return undefined;
  if (next === undefined && end !== undefined && endsEarly(rebound, end, sampleInterval)) return undefined;
  const joined = (before: StrokeRecord, after: StrokeRecord): boolean => !restBetween(before, after, sampleInterval);
  const corner = (before: StrokeRecord | undefined, after: StrokeRecord | undefined): number =>
    before && after && joined(before, after) ? hiddenCorner(before, after) : 0;
  const corners = corner(previous, compression) + 2 * corner(compression, rebound) + corner(rebound, next);
  return {
    compression,
    rebound,
    previous: previous && joined(previous, compression) ? previous : undefined,
    next: next && joined(rebound, next) ? next : undefined,
    marginFirstRow: previous?.firstRow ?? compression.firstRow,
    marginEndRow: next ? next.lastRow + 1 : (end?.row ?? rebound.lastRow) + 1,
    peakSpeed: (compression.peakSpeed + rebound.peakSpeed) / 2,
    amplitude: (travels[0] + travels[1] + corners) / 4,
  };
}

/**
 * How far the corner of a constant-speed drive lies beyond its outermost sample [m]: where the lines through both strokes' middles meet,
 * but no farther than a corner can hide between two samples, as real corners are rounded.
 */
function hiddenCorner(before: StrokeRecord, after: StrokeRecord): number {
  if (!before.plateau || !after.plateau) return 0;
  const up = before.side === 'compression' ? 1 : -1;
  const middleBefore = (up * (before.x0 + before.x1)) / 2;
  const middleAfter = (up * (after.x0 + after.x1)) / 2;
  const speeds = before.peakSpeed + after.peakSpeed;
  const span = after.t50 - before.t50;
  const meeting = middleBefore + (before.peakSpeed * (middleAfter - middleBefore + after.peakSpeed * span)) / speeds;
  const interval = before.body / Math.max(1, 0.8 * (before.lastRow - before.firstRow));
  const most = (interval * speeds) / 4;
  return Math.min(most, Math.max(0, meeting - up * before.x1));
}

/** The cycle with its samples, for as long as the buffer stays as it is. `samples.velocity` must have been filled by the caller. */
export function cycleInBuffer(record: CycleRecord, buffer: SampleBuffer): Cycle {
  const { previous, next, peakSpeed, amplitude } = record;
  const marginFrom = record.marginFirstRow - buffer.firstRow;
  const marginTo = record.marginEndRow - buffer.firstRow;
  const place = (stroke: StrokeRecord): Cycle['compression'] => strokeInBuffer(stroke, buffer, marginFrom, marginTo);
  const compression = place(record.compression);
  const rebound = place(record.rebound);
  const from = compression.firstIndex;
  const to = rebound.lastIndex + 1;
  return {
    samples: buffer,
    compression,
    rebound,
    ...(previous ? { previous: place(previous) } : {}),
    ...(next ? { next: place(next) } : {}),
    from,
    to,
    marginFrom,
    marginTo,
    sampleInterval: (buffer.time[to - 1]! - buffer.time[from]!) / (to - 1 - from),
    startTime: compression.startTime,
    endTime: rebound.endTime,
    amplitude,
    middle: (compression.x0 + compression.x1 + rebound.x0 + rebound.x1) / 4,
    peakSpeed,
  };
}

import type { SampleBuffer } from './sampleBuffer';
import type { StrokeRecord } from './strokeRecord';

/** The first or last sample of a segment: a part of the record without a gap. */
export interface SegmentEdge {
  readonly row: number;
  readonly time: number;
}

/** Speed at the edge of the record is taken over this share of the stroke's body, and counts as motion above this share of peak speed. */
const EDGE_SHARE = 0.05;
const MOVING_SHARE = 0.2;
const LEVEL_SHARE = 0.06;

/** How far the true end of a stroke may lie beyond the samples before it counts as cut off. */
export function edgeTolerance(stroke: Pick<StrokeRecord, 'body'>, sampleInterval: number): number {
  return 0.06 * stroke.body + 1.5 * sampleInterval;
}

/** The record begins after the true start of this stroke. */
export function startsLate(stroke: StrokeRecord, start: SegmentEdge, sampleInterval: number): boolean {
  return stroke.startTime < start.time - edgeTolerance(stroke, sampleInterval);
}

/** The record ends before the true end of this stroke. */
export function endsEarly(stroke: StrokeRecord, end: SegmentEdge, sampleInterval: number): boolean {
  return stroke.endTime > end.time + edgeTolerance(stroke, sampleInterval);
}

/**
 * Whether the record begins inside its first stroke. What is left of a stroke may look like a whole one; but then it moves at the edge,
 * and does not start from the level where the stroke after it ends.
 */
export function isCutAtStart(
  buffer: SampleBuffer,
  start: SegmentEdge,
  stroke: StrokeRecord,
  after: StrokeRecord | undefined,
  sampleInterval: number,
): boolean {
  if (startsLate(stroke, start, sampleInterval)) return true;
  const first = start.row - buffer.firstRow;
  let i = first;
  while (buffer.time[i]! < start.time + EDGE_SHARE * stroke.body) i++;
  return isMoving(buffer, first, i, stroke) && !(after && isSameLevel(stroke.x0, after.x1, after));
}

/** Whether the record ends inside its last stroke. */
export function isCutAtEnd(
  buffer: SampleBuffer,
  end: SegmentEdge,
  stroke: StrokeRecord,
  before: StrokeRecord | undefined,
  sampleInterval: number,
): boolean {
  if (endsEarly(stroke, end, sampleInterval)) return true;
  const last = end.row - buffer.firstRow;
  let i = last;
  while (buffer.time[i]! > end.time - EDGE_SHARE * stroke.body) i--;
  return isMoving(buffer, i, last, stroke) && !(before && isSameLevel(stroke.x1, before.x0, before));
}

function isMoving(buffer: SampleBuffer, from: number, to: number, stroke: StrokeRecord): boolean {
  const travel = Math.abs(buffer.displacement[to]! - buffer.displacement[from]!);
  return travel > MOVING_SHARE * stroke.peakSpeed * (buffer.time[to]! - buffer.time[from]!);
}

function isSameLevel(edge: number, turn: number, neighbour: StrokeRecord): boolean {
  return Math.abs(edge - turn) <= LEVEL_SHARE * Math.abs(neighbour.x1 - neighbour.x0);
}

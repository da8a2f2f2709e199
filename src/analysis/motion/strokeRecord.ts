import type { Side } from '../side';
import type { Stroke } from './cycle';
import { fitMiddleMotion } from './middleMotion';
import type { SampleBuffer } from './sampleBuffer';

/** A stroke by rows of the log, so that it stays right while the buffer moves on. Otherwise as `Stroke`. */
export interface StrokeRecord extends Pick<
  Stroke,
  | 'side'
  | 'x0'
  | 'x1'
  | 't10'
  | 't50'
  | 't90'
  | 'startTime'
  | 'endTime'
  | 'peakSpeed'
  | 'peakTime'
  | 'plateau'
  | 'phaseRate'
> {
  readonly firstRow: number;
  readonly lastRow: number;
  /** Time from 10 to 90 % of the travel [s]. */
  readonly body: number;
}

/** Time that the drive itself takes from 90 % of one stroke to 10 % of the next, over `body`: 2 acos(0.8) / (2 asin(0.8)) for a sine, 2 x 0.1 / 0.8 for a triangle. */
const SINE_TURN = Math.acos(0.8) / Math.asin(0.8);
const TRIANGLE_TURN = 0.25;
/** Phase of a sine from 10 to 90 % of its travel [rad]. */
export const SINE_BODY_PHASE = 2 * Math.asin(0.8);

export function turnShare(stroke: Pick<Stroke, 'plateau'>): number {
  return stroke.plateau ? TRIANGLE_TURN : SINE_TURN;
}

/** Measures the stroke between two turning points. undefined where it has too few samples to be one. */
export function measureStroke(buffer: SampleBuffer, firstRow: number, lastRow: number): StrokeRecord | undefined {
  const { time: t, displacement: x } = buffer;
  const first = firstRow - buffer.firstRow;
  const last = lastRow - buffer.firstRow;
  const x0 = x[first]!;
  const x1 = x[last]!;
  const up = x1 > x0 ? 1 : -1;
  const travel = x1 - x0;
  if (last - first < 3 || travel === 0) return undefined;
  const level = (share: number): number => up * (x0 + share * travel);
  const at10 = firstAbove(x, up, level(0.1), first + 1);
  const at22 = firstAbove(x, up, level(0.22), at10);
  const at50 = firstAbove(x, up, level(0.5), at22);
  const at78 = firstAbove(x, up, level(0.78), at50);
  const at90 = lastCrossing(x, up, level(0.9), last);
  const t10 = crossingTime(t, x, up, level(0.1), at10);
  const t50 = crossingTime(t, x, up, level(0.5), at50);
  const t90 = crossingTime(t, x, up, level(0.9), at90);
  const body = t90 - t10;
  if (!(body > 0)) return undefined;
  const motion = fitMiddleMotion(t, x, at22, at78, t50) ?? sineOf(Math.abs(travel), body, t50);
  const turn = (turnShare(motion) / 2) * body;
  const side: Side = up > 0 ? 'compression' : 'rebound';
  const ends = { startTime: t10 - turn, endTime: t90 + turn };
  return { side, firstRow, lastRow, x0, x1, t10, t50, t90, body, ...ends, ...motion };
}

/** With too few samples for a fit the motion is taken for a sine. */
function sineOf(
  travel: number,
  body: number,
  t50: number,
): Pick<Stroke, 'peakSpeed' | 'peakTime' | 'plateau' | 'phaseRate'> {
  const phaseRate = SINE_BODY_PHASE / body;
  return { peakSpeed: (phaseRate * travel) / 2, peakTime: t50, phaseRate, plateau: false };
}

function firstAbove(x: Float64Array, up: number, level: number, from: number): number {
  let i = from;
  while (up * x[i]! < level) i++;
  return i;
}

/** First sample of those beyond the level that stay there to the stroke's end. */
function lastCrossing(x: Float64Array, up: number, level: number, last: number): number {
  let i = last;
  while (up * x[i - 1]! >= level) i--;
  return i;
}

/** Time between samples i - 1 and i at which the level is crossed. */
function crossingTime(t: Float64Array, x: Float64Array, up: number, level: number, i: number): number {
  const before = up * x[i - 1]!;
  const after = up * x[i]!;
  const share = after > before ? (level - before) / (after - before) : 1;
  return t[i - 1]! + Math.min(1, Math.max(0, share)) * (t[i]! - t[i - 1]!);
}

/**
 * The stroke as positions in the buffer's arrays, for as long as the buffer stays.
 * @param lowest first position that may be read. @param end position after the last one that may be read.
 */
export function strokeInBuffer(record: StrokeRecord, buffer: SampleBuffer, lowest: number, end: number): Stroke {
  const { firstRow, lastRow, side, x0, x1, t10, t50, t90, startTime, endTime } = record;
  const { peakSpeed, peakTime, plateau, phaseRate } = record;
  const firstIndex = firstRow - buffer.firstRow;
  const lastIndex = lastRow - buffer.firstRow;
  const from = firstNotBefore(buffer.time, startTime, firstIndex, lowest, end);
  const to = firstNotBefore(buffer.time, endTime, lastIndex, lowest, end);
  const motion = { peakSpeed, peakTime, plateau, phaseRate };
  return { side, firstIndex, lastIndex, x0, x1, t10, t50, t90, startTime, endTime, from, to, ...motion };
}

/** First position from `lowest` to `end` whose time is not before `at`, looked for around `near`. */
function firstNotBefore(time: Float64Array, at: number, near: number, lowest: number, end: number): number {
  let i = Math.max(lowest, Math.min(near, end));
  while (i > lowest && time[i - 1]! >= at) i--;
  while (i < end && time[i]! < at) i++;
  return i;
}

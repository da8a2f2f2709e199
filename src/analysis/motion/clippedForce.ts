import type { LogScale } from './logScan';
import type { SampleBuffer } from './sampleBuffer';
import type { StrokeRecord } from './strokeRecord';

const LEAST_RUN = 5;
const LEAST_STROKES = 2;

interface ClippedEnd {
  strokes: number;
  row: number;
}

/**
 * Finds forces cut off at a limit: five or more equal samples at the log's highest or lowest force, in two or more strokes.
 * A coarse recorder shows such a run at a smooth peak too. There the force has fallen, one run's length beyond the run, by at most
 * (3^2 - 1) resolutions, as a parabola does; a cut peak falls much further.
 */
export class ClippedForce {
  private readonly ends: readonly [ClippedEnd, ClippedEnd] = [
    { strokes: 0, row: -1 },
    { strokes: 0, row: -1 },
  ];

  constructor(private readonly scale: LogScale) {}

  add(stroke: StrokeRecord, buffer: SampleBuffer): void {
    const [low, high] = this.scale.forceRange;
    this.look(stroke, buffer, low, this.ends[0]);
    this.look(stroke, buffer, high, this.ends[1]);
  }

  events(): {
    readonly kind: 'force-clipped';
    readonly row: number;
    readonly value: number;
    readonly strokes: number;
  }[] {
    return this.ends.flatMap(({ strokes, row }, end) =>
      strokes < LEAST_STROKES ? [] : [{ kind: 'force-clipped', row, value: this.scale.forceRange[end]!, strokes }],
    );
  }

  private look(stroke: StrokeRecord, buffer: SampleBuffer, extreme: number, end: ClippedEnd): void {
    const first = stroke.firstRow - buffer.firstRow;
    const last = stroke.lastRow - buffer.firstRow;
    const { force } = buffer;
    for (let i = first; i < last; i++) {
      if (force[i] !== extreme) continue;
      let after = i + 1;
      while (after < last && force[after] === extreme) after++;
      if (after - i >= LEAST_RUN && this.isCut(stroke, force, i, after, first, last)) {
        end.strokes++;
        if (end.row < 0) end.row = buffer.firstRow + i;
        return;
      }
      i = after;
    }
  }

  private isCut(
    stroke: StrokeRecord,
    force: Float64Array,
    from: number,
    to: number,
    first: number,
    last: number,
  ): boolean {
    const { forceNoise, forceResolution } = this.scale;
    if (forceNoise > forceResolution) return true;
    if (stroke.plateau && forceNoise === 0) return false; // a force without any noise may be constant
    const length = to - from;
    const before = force[Math.max(first, from - length)]!;
    const after = force[Math.min(last, to - 1 + length)]!;
    const allowed = 12 * forceResolution;
    return Math.abs(before - force[from]!) > allowed && Math.abs(after - force[from]!) > allowed;
  }
}

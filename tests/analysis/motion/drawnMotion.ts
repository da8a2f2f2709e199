import type { SampleChunk } from '../../../src/analysis/motion/sampleChunk';
import { reduceLog } from '../../../src/analysis/reduceLog';
import type { ReducedLog } from '../../../src/analysis/reducedLog';

/** A motion drawn by a function of time, sampled at 1 kHz: for logs that no healthy bench writes. SI. */
export interface DrawnMotion {
  readonly seconds: number;
  readonly displacement: (time: number) => number;
  readonly force?: (time: number, velocity: number) => number;
  /** Rows (times) that the recorder kept; all where absent. */
  readonly recorded?: (time: number) => boolean;
  readonly setting?: (time: number) => number;
  readonly velocity?: (time: number, velocity: number) => number;
}
const RATE = 1000;

export function drawChunk(motion: DrawnMotion): SampleChunk {
  const times = Array.from({ length: Math.round(motion.seconds * RATE) + 1 }, (_, i) => i / RATE);
  const kept = times.filter((time) => motion.recorded?.(time) ?? true);
  const speedAt = (t: number): number => (motion.displacement(t + 1e-6) - motion.displacement(t - 1e-6)) / 2e-6;
  const force = motion.force ?? ((_, velocity) => 1000 * velocity);
  const column = (value: (time: number) => number): Float64Array => Float64Array.from(kept, value);
  const { setting, velocity } = motion;
  return {
    firstRow: 0,
    rows: kept.length,
    time: column((t) => t),
    displacement: column((t) => Math.round(motion.displacement(t) * 1e5) / 1e5),
    force: column((t) => force(t, speedAt(t))),
    ...(velocity ? { velocity: column((t) => velocity(t, speedAt(t))) } : {}),
    adjusters: setting ? [column(setting)] : [],
  };
}

/** Cuts a chunk into chunks of `rows` rows. */
export function cut(chunk: SampleChunk, rows: number): () => AsyncIterable<SampleChunk> {
  return async function* chunks() {
    await Promise.resolve();
    for (let start = 0; start < chunk.rows; start += rows) {
      const end = Math.min(start + rows, chunk.rows);
      yield {
        firstRow: start,
        rows: end - start,
        time: chunk.time.slice(start, end),
        displacement: chunk.displacement.slice(start, end),
        force: chunk.force.slice(start, end),
        ...(chunk.velocity ? { velocity: chunk.velocity.slice(start, end) } : {}),
        ...(chunk.temperature ? { temperature: chunk.temperature.slice(start, end) } : {}),
        adjusters: chunk.adjusters.map((column) => column.slice(start, end)),
      };
    }
  };
}

export function reduceDrawn(motion: DrawnMotion): Promise<ReducedLog> {
  const chunk = drawChunk(motion);
  return reduceLog(cut(chunk, 4000), { adjusters: chunk.adjusters.length });
}

/** Sine of 25 mm amplitude from its lower turning point. */
export function sine(frequency: number): (time: number) => number {
  return (time) => -0.025 * Math.cos(2 * Math.PI * frequency * time);
}

import type { LogChunk } from '../../src/files/testLog';
import type { BenchRun } from './runBench';

export interface ChunkOptions {
  /** Ids of the adjusters that get a column each, in this order; none where absent. */
  readonly adjusters?: readonly string[];
  readonly temperature?: boolean;
}

/** The whole log as one chunk, SI, as the log reader would hand it on. */
export function toSampleChunk(run: BenchRun, options: ChunkOptions = {}): LogChunk {
  return {
    firstRow: 0,
    rows: run.time.length,
    time: run.time,
    displacement: run.displacement,
    force: run.force,
    ...(run.velocity ? { velocity: run.velocity } : {}),
    ...(options.temperature ? { temperature: run.temperature } : {}),
    adjusters: adjusterColumns(run, options.adjusters ?? []),
  };
}

/** The log in chunks of at most `rows` rows: `reduceLog(chunksOf(run, 4096), ...)`. Callable again, as its reader is. */
export function chunksOf(run: BenchRun, rows: number, options: ChunkOptions = {}): () => AsyncIterable<LogChunk> {
  const whole = toSampleChunk(run, options);
  return async function* chunks() {
    await Promise.resolve();
    for (let start = 0; start < whole.rows; start += rows) {
      const end = Math.min(start + rows, whole.rows);
      const part = (column: Float64Array): Float64Array => column.slice(start, end);
      yield {
        firstRow: start,
        rows: end - start,
        time: part(whole.time),
        displacement: part(whole.displacement),
        force: part(whole.force),
        ...(whole.velocity ? { velocity: part(whole.velocity) } : {}),
        ...(whole.temperature ? { temperature: part(whole.temperature) } : {}),
        adjusters: whole.adjusters.map(part),
      };
    }
  };
}

export function adjusterColumns(run: BenchRun, ids: readonly string[]): Float64Array[] {
  return ids.map((id) =>
    Float64Array.from(run.stepOfRow, (step) => {
      const clicks = run.plan.steps[step]!.setting[id];
      if (clicks === undefined) throw new Error(`Step ${step} of the plan does not say where ${id} stands.`);
      return clicks;
    }),
  );
}

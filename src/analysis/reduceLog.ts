import { LogScan } from './motion/logScan';
import type { LogScale } from './motion/logScan';
import { SampleBuffer } from './motion/sampleBuffer';
import type { SampleChunk } from './motion/sampleChunk';
import { SettingTrack } from './motion/settingTrack';
import { StepGrouping } from './motion/stepGrouping';
import { StrokeTracker } from './motion/strokeTracker';
import type { LogEvent, ReducedLog } from './reducedLog';

export type { SampleChunk } from './motion/sampleChunk';

export interface ReduceOptions {
  /** Number of adjuster columns in the chunks. */
  readonly adjusters: number;
  /** Checked after every chunk; throws its reason, or an Error named AbortError. */
  readonly signal?: { readonly aborted: boolean } | undefined;
  /** Values (rows x columns) that may be kept between the two passes; a longer log is read twice. */
  readonly keptValues?: number;
}

/** 128 MB: three million rows of five columns. */
const KEPT_VALUES = 16_000_000;
/** Rows are handed on in portions of this size, so that the buffer stays small whatever the chunks. */
const PORTION = 8192;

/**
 * Reduces a test log to its steps. Turning points need the range and the noise of the whole log before the first of them can be told, so
 * there are two passes: short logs are kept in memory between them, long ones are read twice. Only the cycles in work are in memory on
 * the second pass. How the rows are cut into chunks changes nothing in the result.
 *
 * @param read gives the chunks from the first row on; called a second time for a long log. The chunks' arrays must stay as they are.
 */
export async function reduceLog(read: () => AsyncIterable<SampleChunk>, options: ReduceOptions): Promise<ReducedLog> {
  const scan = new LogScan();
  const most = options.keptValues ?? KEPT_VALUES;
  let kept: SampleChunk[] | undefined = [];
  let values = 0;
  for await (const chunk of read()) {
    stopIfAborted(options);
    scan.add(chunk);
    values += chunk.rows * columnCount(chunk);
    if (values > most) kept = undefined;
    kept?.push(chunk);
  }
  const scale = scan.finish();
  const pass = new ReductionPass(scale, options.adjusters);
  if (kept) {
    for (const chunk of kept) {
      stopIfAborted(options);
      pass.add(chunk);
    }
  } else {
    for await (const chunk of read()) {
      stopIfAborted(options);
      pass.add(chunk);
    }
  }
  return pass.finish();
}

/** The second look at a log. */
class ReductionPass {
  private readonly buffer = new SampleBuffer();
  private readonly settings: SettingTrack;
  private readonly grouping: StepGrouping;
  private readonly tracker: StrokeTracker;

  constructor(
    private readonly scale: LogScale,
    adjusters: number,
  ) {
    this.settings = new SettingTrack(adjusters);
    this.grouping = new StepGrouping(this.buffer, scale, this.settings);
    this.tracker = new StrokeTracker(this.buffer, scale, this.grouping);
  }

  add(chunk: SampleChunk): void {
    for (let from = 0; from < chunk.rows; from += PORTION) {
      const to = Math.min(chunk.rows, from + PORTION);
      this.settings.add(chunk, from, to);
      this.tracker.add(chunk, from, to);
      const needed = Math.min(this.tracker.firstNeededRow(), this.grouping.firstNeededRow());
      this.buffer.release(needed);
      this.settings.release(needed);
    }
  }

  finish(): ReducedLog {
    const { scale, grouping, tracker } = this;
    if (scale.rows > 0) tracker.finish();
    const timeFaults = scale.timeFaults.map((fault) => ({ kind: 'time-not-increasing' as const, ...fault }));
    const events: LogEvent[] = [...timeFaults, ...tracker.events, ...grouping.finish()];
    const velocityCheck = grouping.velocityCheck.result();
    return {
      rows: scale.rows,
      duration: scale.duration,
      sampleInterval: scale.sampleInterval,
      displacementNoise: scale.displacementNoise,
      forceNoise: scale.forceNoise,
      displacementRange: scale.displacementRange,
      forceRange: scale.forceRange,
      ...(velocityCheck ? { velocityCheck } : {}),
      steps: grouping.steps,
      events: events.sort((a, b) => a.row - b.row),
    };
  }
}

function columnCount(chunk: SampleChunk): number {
  return 3 + (chunk.velocity ? 1 : 0) + (chunk.temperature ? 1 : 0) + chunk.adjusters.length;
}

function stopIfAborted(options: ReduceOptions): void {
  if (options.signal?.aborted !== true) return;
  const error = new Error('The run was cancelled.');
  error.name = 'AbortedError';
  throw error;
}

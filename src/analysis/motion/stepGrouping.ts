import type { LogEvent, ReducedStep } from '../reducedLog';
import { ClippedForce } from './clippedForce';
import type { Cycle } from './cycle';
import { measureCycle } from './cycleMeasure';
import type { CycleRecord } from './cycleRecord';
import { cycleInBuffer } from './cycleRecord';
import type { LogScale } from './logScan';
import { edgeTolerance } from './recordEdge';
import type { SampleBuffer } from './sampleBuffer';
import type { SettingTrack } from './settingTrack';
import { StepInProgress } from './stepInProgress';
import type { StrokeRecord } from './strokeRecord';
import type { MotionListener } from './strokeTracker';
import { differentiate, velocityWindow } from './velocity';
import { VelocityCheck } from './velocityCheck';

/** Groups the cycles of a log into steps and watches for what is wrong with its channels. */
export class StepGrouping implements MotionListener {
  readonly steps: ReducedStep[] = [];
  readonly velocityCheck = new VelocityCheck();
  private readonly clipped: ClippedForce;
  private current: StepInProgress | undefined;
  private strokes = 0;
  private cycles = 0;
  private energy = 0;
  private lastCycleRow = -1;

  constructor(
    private readonly buffer: SampleBuffer,
    scale: LogScale,
    private readonly settings: SettingTrack,
  ) {
    this.clipped = new ClippedForce(scale);
  }

  onStroke(stroke: StrokeRecord): void {
    this.strokes++;
    this.clipped.add(stroke, this.buffer);
  }

  onPause(): void {
    this.finishStep();
  }

  onCycle(record: CycleRecord): void {
    const cycle = cycleInBuffer(record, this.buffer);
    const setting = this.settingOf(cycle);
    if (setting === undefined) return;
    this.cycles++;
    const measure = measureCycle(cycle, record.compression.firstRow === this.lastCycleRow);
    this.lastCycleRow = record.rebound.lastRow;
    this.energy += measure.energy;
    if (this.buffer.loggedVelocity) this.velocityCheck.add(cycle, this.buffer.loggedVelocity);
    if (this.current?.takes(measure, setting) !== true) {
      this.finishStep();
      this.current = new StepInProgress(setting, (waiting) => this.open(waiting));
    }
    this.current.add(measure, record);
  }

  finish(): LogEvent[] {
    this.finishStep();
    const events: LogEvent[] = [...this.clipped.events()];
    const first = this.steps[0];
    if (first && this.energy < 0) events.push({ kind: 'sign-suspect', row: first.firstRow, energy: this.energy });
    if (!first) events.push({ kind: 'no-step', row: 0, strokes: this.strokes, cycles: this.cycles });
    return events;
  }

  /** First row that is still needed here; Infinity where none is. */
  firstNeededRow(): number {
    return this.current?.firstNeededRow() ?? Infinity;
  }

  private finishStep(): void {
    const step = this.current?.finish();
    if (step) this.steps.push(step);
    this.current = undefined;
  }

  /** A change right at the cycle's ends, where neighbouring cycles share a sample, is not in it. */
  private settingOf(cycle: Cycle): readonly number[] | undefined {
    const { compression, rebound, samples, sampleInterval } = cycle;
    const spare = (stroke: Cycle['compression']): number =>
      Math.ceil(edgeTolerance({ body: stroke.t90 - stroke.t10 }, sampleInterval) / sampleInterval);
    const from = compression.from + spare(compression);
    const to = rebound.to - 1 - spare(rebound);
    return this.settings.over(samples.firstRow + from, samples.firstRow + Math.max(from, to));
  }

  /** Brings a cycle's samples into view, with the velocity to be used for it. */
  private open(record: CycleRecord): Cycle {
    const { buffer } = this;
    const cycle = cycleInBuffer(record, buffer);
    if (buffer.loggedVelocity && this.velocityCheck.agrees()) {
      buffer.velocity = buffer.loggedVelocity;
      return cycle;
    }
    const { from, to, marginFrom, marginTo, sampleInterval } = cycle;
    const window = velocityWindow(sampleInterval, 1 / (cycle.endTime - cycle.startTime));
    const derived = buffer.derivedColumn();
    differentiate(buffer.displacement, derived, from, to, marginFrom, marginTo, sampleInterval, window);
    buffer.velocity = derived;
    return cycle;
  }
}

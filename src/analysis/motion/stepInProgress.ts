import { SlowSampleSums } from '../gas/slowSamples';
import { Roughness } from '../loops/roughness';
import { StrokeBins } from '../loops/strokeBins';
import type { ReducedStep } from '../reducedLog';
import { SIDES } from '../side';
import { median } from '../statistics/quantile';
import { RunningMedian } from '../statistics/runningMedian';
import type { Cycle } from './cycle';
import type { CycleMeasure } from './cycleMeasure';
import type { CycleRecord } from './cycleRecord';
import { sameSetting } from './settingTrack';
import { reduceStep } from './stepReduction';

/** Neighbouring cycles of a step agree this well with the median of its cycles so far. */
const SPEED_AGREEMENT = 0.025;
const AMPLITUDE_AGREEMENT = 0.1;
/**
 * A cycle that keeps the step's period this well may leave its speed by more: a table whose stroke wanders at a held frequency is no next
 * step, which is 4 % apart at the least.
 */
const PERIOD_AGREEMENT = 0.005;
const SPEED_AGREEMENT_AT_PERIOD = 0.035;
/** A last cycle that leaves the speed of the others by more than this, and by more than four times what they differ, leads to the next step. */
const TRANSITION_SPEED = 0.005;
const TRANSITION_SPREADS = 4;

/** What the loops' accumulators gather over the used cycles of a step. */
export interface StepSums {
  readonly bins: Readonly<Record<'compression' | 'rebound', StrokeBins>>;
  readonly roughness: Readonly<Record<'compression' | 'rebound', Roughness>>;
  readonly slow: SlowSampleSums;
}

/**
 * A step while its cycles come in. The first cycle is left out only where two more remain, and the last one may belong to the way to
 * the next step: so samples wait until that is decided, and the loops' sums see each used cycle once.
 */
export class StepInProgress {
  private readonly measures: CycleMeasure[] = [];
  /** Cycles whose samples are still needed, the newest last. */
  private readonly waiting: CycleRecord[] = [];
  private readonly speeds = new RunningMedian();
  private readonly amplitudes = new RunningMedian();
  private readonly periods = new RunningMedian();
  private readonly sums: StepSums = {
    bins: { compression: new StrokeBins(), rebound: new StrokeBins() },
    roughness: { compression: new Roughness(), rebound: new Roughness() },
    slow: new SlowSampleSums(),
  };

  /** @param open brings a cycle's samples and velocity into view. */
  constructor(
    readonly setting: readonly number[],
    private readonly open: (record: CycleRecord) => Cycle,
  ) {}

  /** Whether a cycle is at this step's speed, amplitude and setting. */
  takes(measure: CycleMeasure, setting: readonly number[]): boolean {
    const faster = Math.abs(measure.peakSpeed / this.speeds.value() - 1);
    return (
      sameSetting(setting, this.setting) &&
      Math.abs(measure.amplitude / this.amplitudes.value() - 1) < AMPLITUDE_AGREEMENT &&
      (faster < SPEED_AGREEMENT || (faster < SPEED_AGREEMENT_AT_PERIOD && this.keepsPeriod(measure)))
    );
  }

  /** By the times between like mid-stroke crossings; false where the cycle does not follow on, or no period is known yet. */
  private keepsPeriod(measure: CycleMeasure): boolean {
    const period = periodSince(this.measures.at(-1), measure);
    return Math.abs(period / this.periods.value() - 1) < PERIOD_AGREEMENT;
  }

  add(measure: CycleMeasure, record: CycleRecord): void {
    const period = periodSince(this.measures.at(-1), measure);
    if (Number.isFinite(period)) this.periods.add(period);
    this.measures.push(measure);
    this.waiting.push(record);
    this.speeds.add(measure.peakSpeed);
    this.amplitudes.add(measure.amplitude);
    // From the fourth cycle on, the first is settling even if the last should be a transition.
    if (this.measures.length < 4) return;
    if (this.measures.length === 4) this.waiting.shift();
    while (this.waiting.length > 1) this.use(this.waiting.shift()!);
  }

  /** First row that is still needed here; Infinity where none is. */
  firstNeededRow(): number {
    return this.waiting[0]?.marginFirstRow ?? Infinity;
  }

  /** undefined where one cycle alone is no step but a transition. */
  finish(): ReducedStep | undefined {
    if (endsInTransition(this.measures)) {
      this.measures.pop();
      this.waiting.pop();
    }
    if (this.measures.length < 2) return undefined;
    if (this.measures.length === 3) this.waiting.shift();
    for (const record of this.waiting) this.use(record);
    return reduceStep(this.setting, this.measures, this.sums);
  }

  private use(record: CycleRecord): void {
    const cycle = this.open(record);
    for (const side of SIDES) {
      this.sums.bins[side].add(cycle, side);
      this.sums.roughness[side].add(cycle, side);
    }
    this.sums.slow.add(cycle);
  }
}

/** NaN where the cycle does not follow on. */
function periodSince(before: CycleMeasure | undefined, measure: CycleMeasure): number {
  if (before === undefined || !measure.followsOn) return NaN;
  return (measure.compression.t50 - before.compression.t50 + measure.rebound.t50 - before.rebound.t50) / 2;
}

/** The first cycle, which may lead into the step as the last leads out of it, is not asked where enough others are. */
function endsInTransition(measures: readonly CycleMeasure[]): boolean {
  if (measures.length < 3) return false;
  const others = measures.slice(measures.length > 3 ? 1 : 0, -1).map((m) => m.peakSpeed);
  const centre = median(others);
  const spread = Math.max(...others.slice(-8).map((speed) => Math.abs(speed - centre)));
  const away = Math.abs(measures.at(-1)!.peakSpeed - centre);
  return away > Math.max(TRANSITION_SPEED * centre, TRANSITION_SPREADS * spread);
}

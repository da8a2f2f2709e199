import type { PlannedStep } from './bench';

/** What a step would have shown without noise and resolution. Arrays have one entry a cycle; forces include the load cell's zero. SI. */
export interface StepTruth {
  readonly velocity: number;
  readonly stroke: number;
  readonly setting: Readonly<Record<string, number>>;
  /** [Hz] */
  readonly frequency: number;
  /** First row of the step, and the row after its last. */
  readonly firstRow: number;
  readonly endRow: number;
  /** Force at the instant of peak velocity, lag included [N]; rebound is negative as a rule. */
  readonly compressionForce: Float64Array;
  readonly reboundForce: Float64Array;
  /** Taken out of the bench in each cycle [J]. */
  readonly energy: Float64Array;
  /** Constant force at mid-stroke: gas and the load cell's zero [N]. */
  readonly gas: number;
  /** [N/m] */
  readonly gasRate: number;
  readonly friction: number;
  /** Mean over the step [K]. */
  readonly temperature: number;
}

interface OpenStep {
  readonly index: number;
  readonly firstRow: number;
  readonly compressionForce: number[];
  readonly reboundForce: number[];
  readonly energy: number[];
  work: number;
  heatTime: number;
  time: number;
}

/** Gathers the truth while the bench runs. */
export class TruthRecorder {
  private readonly steps: StepTruth[] = [];
  private readonly planned: readonly PlannedStep[];
  private open: OpenStep | undefined;

  constructor(planned: readonly PlannedStep[]) {
    this.planned = planned;
  }

  beginStep(index: number, firstRow: number): void {
    const lists = { compressionForce: [], reboundForce: [], energy: [] };
    this.open = { index, firstRow, ...lists, work: 0, heatTime: 0, time: 0 };
  }

  add(work: number, temperature: number, duration: number): void {
    if (!this.open) return;
    this.open.work += work;
    this.open.heatTime += temperature * duration;
    this.open.time += duration;
  }

  /** The rod is at a quarter of its cycle: 1 peak of compression, 3 peak of rebound, 0 the cycle is closed. */
  atQuarter(quarter: number, force: number): void {
    if (!this.open) return;
    if (quarter === 1) this.open.compressionForce.push(force);
    if (quarter === 3) this.open.reboundForce.push(force);
    if (quarter === 0) {
      this.open.energy.push(this.open.work);
      this.open.work = 0;
    }
  }

  endStep(endRow: number, known: Pick<StepTruth, 'gas' | 'gasRate' | 'friction' | 'frequency'>): void {
    const open = this.open;
    if (!open) return;
    const { velocity, stroke, setting } = this.planned[open.index]!;
    this.steps.push({
      ...known,
      velocity,
      stroke,
      setting,
      firstRow: open.firstRow,
      endRow,
      compressionForce: Float64Array.from(open.compressionForce),
      reboundForce: Float64Array.from(open.reboundForce),
      energy: Float64Array.from(open.energy),
      temperature: open.heatTime / open.time,
    });
    this.open = undefined;
  }

  finish(): readonly StepTruth[] {
    return this.steps;
  }
}

/** Mean over the cycles that count: the first is settling where at least two more remain. */
export function meanOfUsedCycles(perCycle: Float64Array): number {
  const used = perCycle.length >= 3 ? perCycle.subarray(1) : perCycle;
  return used.reduce((sum, value) => sum + value, 0) / used.length;
}

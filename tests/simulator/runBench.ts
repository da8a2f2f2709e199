import type { Side } from '../../src/analysis/side';
import type { PlannedStep, RunScatter, SimulatedBench, SimulatedPlan } from './bench';
import { NO_SCATTER } from './bench';
import type { SimulatedDamper } from './damper';
import { DamperMotion } from './damperMotion';
import type { Place } from './driveShape';
import { phaseOfTravel, placeAtPhase } from './driveShape';
import { gasRate } from './gasSpring';
import { createRandom } from './random';
import type { RecordedColumns } from './recorder';
import { Recorder } from './recorder';
import type { MotionPiece } from './schedule';
import { driveFrequency, frequencyAtTime, phaseAtTime, scheduleOf, timeOfPhase } from './schedule';
import type { StepTruth } from './truth';
import { TruthRecorder } from './truth';

/**
 * One simulated log: the recorded columns (one entry a row, SI, positive in compression), `stepOfRow` naming the planned step whose
 * setting held, `cleanForce` without noise, resolution, chatter and clipping but with lag and the load cell's zero, and the truth.
 */
export interface BenchRun extends RecordedColumns {
  readonly truth: readonly StepTruth[];
  readonly plan: SimulatedPlan;
}

export interface RunOptions {
  readonly seed: number;
  /** [K], 303.15 where absent. */
  readonly startTemperature?: number;
  readonly scatter?: RunScatter;
}

/** Fine enough that the shape of a reversal is followed; the lag itself is solved exactly whatever the step. */
const SUBSTEPS_PER_CYCLE = 800;

/** Runs a plan on a bench. The same arguments give the same rows. Throws on a plan that no bench could run. */
export function runBench(
  damper: SimulatedDamper,
  plan: SimulatedPlan,
  bench: SimulatedBench,
  options: RunOptions,
): BenchRun {
  return new RunningBench(damper, plan, bench, options).run();
}

class RunningBench {
  private readonly damper: SimulatedDamper;
  private readonly plan: SimulatedPlan;
  private readonly bench: SimulatedBench;
  private readonly motion: DamperMotion;
  private readonly recorder: Recorder;
  private readonly truth: TruthRecorder;
  private readonly pieces: readonly MotionPiece[];
  private readonly zero: number;
  private readonly total: number;
  private nextSample = 0;
  private stepSet = -1;

  constructor(damper: SimulatedDamper, plan: SimulatedPlan, bench: SimulatedBench, options: RunOptions) {
    const scatter = options.scatter ?? NO_SCATTER;
    this.damper = damper;
    this.plan = plan;
    this.bench = bench;
    this.pieces = scheduleOf(plan);
    const last = this.pieces.at(-1);
    if (!last) throw new Error('A plan needs at least one step.');
    this.total = last.startTime + last.duration;
    this.zero = bench.forceZero + scatter.zero;
    this.motion = new DamperMotion(damper, plan.midPosition, options.startTemperature ?? 303.15, scatter);
    this.recorder = new Recorder(bench, this.total, createRandom(options.seed), damper.faults.chatter);
    this.truth = new TruthRecorder(plan.steps);
  }

  run(): BenchRun {
    for (const piece of this.pieces) {
      if (piece.kind === 'gap') this.skip(piece);
      else this.runPiece(piece);
    }
    return { ...this.recorder.columns(), truth: this.truth.finish(), plan: this.plan };
  }

  private skip(gap: MotionPiece): void {
    this.motion.standStill(gap.duration);
    this.nextSample = Math.ceil((gap.startTime + gap.duration) * this.bench.sampleRate - 1e-6);
  }

  private runPiece(piece: MotionPiece): void {
    const step = this.plan.steps[piece.step]!;
    if (this.stepSet !== piece.step) {
      this.motion.set(step.setting);
      this.stepSet = piece.step;
    }
    if (piece.kind === 'step') this.truth.beginStep(piece.step, this.recorder.rows);
    if (piece.kind === 'rest') this.rest(piece, step);
    else this.runCycles(piece, step);
    if (piece.kind === 'step') this.endStep(piece, step);
  }

  private endStep(piece: MotionPiece, step: PlannedStep): void {
    const { gas, friction } = this.damper;
    this.truth.endStep(this.recorder.rows, {
      gas: this.motion.gasAt(0) + this.zeroAt(piece.startTime + piece.duration / 2),
      gasRate: gas ? gasRate(gas, this.plan.midPosition, this.motion.temperature) : 0,
      friction,
      frequency: driveFrequency(this.plan.drive, step.velocity, step.stroke),
    });
  }

  private rest(piece: MotionPiece, step: PlannedStep): void {
    const place = { displacement: -step.stroke / 2, velocity: 0 };
    this.motion.begin({ side: 'compression', inVoid: false, inPlay: false }, place);
    this.follow(piece, 0, piece.duration, () => place);
  }

  /** Cuts the motion where force may jump (turning points, ends of voids) and where truth is read (quarters of a cycle). */
  private runCycles(piece: MotionPiece, step: PlannedStep): void {
    const lastPhase = phaseAtTime(piece, piece.duration);
    let start = piece.startPhase;
    while (start < lastPhase - 1e-9) {
      const stroke = Math.floor(start * 2 + 1e-9);
      const side: Side = stroke % 2 === 0 ? 'compression' : 'rebound';
      const end = Math.min(this.nextCut(start, stroke / 2, side, step), lastPhase);
      const force = this.runPart(piece, step, side, start, end);
      const quarter = Math.round(end * 4);
      if (Math.abs(end * 4 - quarter) < 1e-6) this.truth.atQuarter(quarter % 4, force);
      start = end;
    }
  }

  private nextCut(start: number, turn: number, side: Side, step: PlannedStep): number {
    const { voids, mountingPlay } = this.damper.faults;
    const cuts = [turn + 0.25, turn + 0.5];
    for (const travel of [voids?.[side], mountingPlay]) {
      if (travel !== undefined) cuts.push(turn + phaseOfTravel(this.plan.drive, travel, step.stroke));
    }
    return Math.min(...cuts.filter((cut) => cut > start + 1e-9));
  }

  /** Runs between two cuts of one stroke; returns the force at the end. */
  private runPart(piece: MotionPiece, step: PlannedStep, side: Side, start: number, end: number): number {
    const { voids, mountingPlay = 0 } = this.damper.faults;
    const { drive } = this.plan;
    const placeAt = (time: number): Place =>
      placeAtPhase(drive, step.stroke, phaseAtTime(piece, time), frequencyAtTime(piece, time), side);
    const from = timeOfPhase(piece, start);
    const to = Math.min(timeOfPhase(piece, end), piece.duration);
    const middle = placeAtPhase(drive, step.stroke, (start + end) / 2, 0, side).displacement;
    const travelled = step.stroke / 2 + (side === 'compression' ? middle : -middle);
    const part = { side, inVoid: travelled < (voids?.[side] ?? 0), inPlay: travelled < mountingPlay };
    this.motion.begin(part, placeAt(from));
    return this.follow(piece, from, to, placeAt);
  }

  /** Advances through a time in which nothing jumps, stopping for every sample and often enough in between. */
  private follow(piece: MotionPiece, from: number, to: number, placeAt: (time: number) => Place): number {
    const fastest = Math.max(piece.startFrequency, piece.endFrequency);
    const interval = 1 / this.bench.sampleRate;
    const longest = fastest > 0 ? Math.min(interval, 1 / (SUBSTEPS_PER_CYCLE * fastest)) : interval;
    let time = from;
    let place = placeAt(from);
    let force = this.forceAt(piece, time, place);
    for (;;) {
      const sampleTime = this.nextSample * interval - piece.startTime;
      if (sampleTime <= time + 1e-9) {
        this.recorder.record(this.nextSample++, place, force, this.motion.temperature, piece.step);
      } else if (time >= to) {
        return force;
      } else {
        const stop = nextStop(time, Math.min(to, sampleTime), longest);
        const next = placeAt(stop);
        this.motion.advance(stop - time, next);
        const after = this.forceAt(piece, stop, next);
        const work = 0.5 * (force + after) * (next.displacement - place.displacement);
        this.truth.add(work, this.motion.temperature, stop - time);
        time = stop;
        place = next;
        force = after;
      }
    }
  }

  private forceAt(piece: MotionPiece, time: number, place: Place): number {
    const onSine = this.plan.drive === 'sine';
    const angularFrequency = 2 * Math.PI * frequencyAtTime(piece, time);
    const inertia = onSine ? -this.bench.movingMass * angularFrequency ** 2 * place.displacement : 0;
    return this.motion.force(place) + inertia + this.zeroAt(piece.startTime + time);
  }

  private zeroAt(time: number): number {
    return this.zero + this.bench.forceDrift * (time / this.total);
  }
}

/** The way to the target in equal parts no longer than allowed: the end of the first of them. */
function nextStop(time: number, target: number, longest: number): number {
  const parts = Math.ceil((target - time) / longest - 1e-9);
  return parts <= 1 ? target : time + (target - time) / parts;
}

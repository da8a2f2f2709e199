import type { PlannedStep, SimulatedPlan } from './bench';

/**
 * One piece of the bench's motion. Phase counts cycles: 0, 1, 2 ... at the rod's outer turning point, n + 0.5 at the inner one.
 * Frequency runs straight from `startFrequency` to `endFrequency`; both are 0 at rest.
 */
export interface MotionPiece {
  readonly kind: 'lead-in' | 'step' | 'rest' | 'gap' | 'ramp' | 'trailing';
  /** Index of the planned step, or of the step whose stroke and setting hold here. */
  readonly step: number;
  readonly startTime: number;
  readonly duration: number;
  readonly startPhase: number;
  readonly startFrequency: number;
  readonly endFrequency: number;
}

/** Frequency of a drive that reaches this peak speed over this stroke [Hz]. */
export function driveFrequency(drive: 'sine' | 'triangle', velocity: number, stroke: number): number {
  return drive === 'sine' ? velocity / (Math.PI * stroke) : velocity / (2 * stroke);
}

/** Lays the plan out in time. Throws on a plan that no bench could run. */
export function scheduleOf(plan: SimulatedPlan): MotionPiece[] {
  const pieces: MotionPiece[] = [];
  let time = 0;
  const add = (piece: Omit<MotionPiece, 'startTime'>): void => {
    pieces.push({ ...piece, startTime: time });
    time += piece.duration;
  };
  const frequencyOf = (step: PlannedStep): number => driveFrequency(plan.drive, step.velocity, step.stroke);

  plan.steps.forEach((step, index) => {
    const frequency = frequencyOf(step);
    const steady = { step: index, startFrequency: frequency, endFrequency: frequency };
    if (index === 0 && plan.startPhase > 0) {
      add({ kind: 'lead-in', ...steady, duration: (1 - plan.startPhase) / frequency, startPhase: plan.startPhase });
    }
    add({ kind: 'step', ...steady, duration: step.cycles / frequency, startPhase: 0 });
    const following = plan.steps[index + 1];
    if (following) {
      addDwell(plan, step, following, index, frequencyOf, add);
    } else if (plan.trailingPhase > 0) {
      add({ kind: 'trailing', ...steady, duration: plan.trailingPhase / frequency, startPhase: 0 });
    }
  });
  return pieces;
}

function addDwell(
  plan: SimulatedPlan,
  step: PlannedStep,
  following: PlannedStep,
  index: number,
  frequencyOf: (step: PlannedStep) => number,
  add: (piece: Omit<MotionPiece, 'startTime'>) => void,
): void {
  const pause = following.pauseBefore;
  const { mode, duration } = pause === undefined ? plan.dwell : { mode: 'gap' as const, duration: pause };
  if (mode !== 'gap' && step.stroke !== following.stroke) {
    throw new Error('Steps of different strokes need a gap between them.');
  }
  const atRest = { step: index, startPhase: 0, startFrequency: 0, endFrequency: 0 };
  if (mode === 'gap') add({ kind: 'gap', ...atRest, duration });
  if (mode === 'hold') add({ kind: 'rest', ...atRest, duration });
  if (mode === 'ramp') {
    const startFrequency = frequencyOf(step);
    const endFrequency = frequencyOf(following);
    const cycles = 2;
    add({
      kind: 'ramp',
      step: index,
      startPhase: 0,
      startFrequency,
      endFrequency,
      duration: cycles / ((startFrequency + endFrequency) / 2),
    });
  }
}

/** Time from the piece's start at which it reaches a phase [s]. */
export function timeOfPhase(piece: MotionPiece, phase: number): number {
  const travelled = phase - piece.startPhase;
  const { startFrequency: f0, endFrequency: f1, duration } = piece;
  const change = (f1 - f0) / duration;
  // The stable form of the quadratic's root; it stays exact where the frequency is steady.
  return (2 * travelled) / (f0 + Math.sqrt(f0 * f0 + 2 * change * travelled));
}

export function phaseAtTime(piece: MotionPiece, time: number): number {
  const change = (piece.endFrequency - piece.startFrequency) / piece.duration;
  return piece.startPhase + piece.startFrequency * time + 0.5 * change * time * time;
}

export function frequencyAtTime(piece: MotionPiece, time: number): number {
  return piece.startFrequency + (piece.endFrequency - piece.startFrequency) * (time / piece.duration);
}

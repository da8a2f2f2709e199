import type { RunGas } from '../gas/gasOfRun';
import type { PhaseBins, ReducedStep } from '../reducedLog';
import { PHASE_BINS } from '../reducedLog';
import type { BenchUncertainty, LoopMeasure } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { standardDeviation } from '../statistics/quantile';
import { dampingByPhase } from './dampingBins';
import { massStiffness } from './inertia';
import type { RunStep } from './runSteps';
import { strokeSymmetry } from './symmetry';

/** Energy, equivalent viscous damping, mean power, symmetry and mean loop of every step. */
export function loopsOfRun(steps: readonly RunStep[], gas: RunGas, bench: BenchUncertainty | undefined): LoopMeasure[] {
  return steps.map((run) => {
    const { step } = run;
    return {
      key: run.key,
      setting: run.setting,
      pass: run.pass,
      speed: run.speed,
      drive: step.drive,
      frequency: step.frequency,
      amplitude: step.amplitude,
      energy: step.energy,
      energySpread: standardDeviation(step.cycles.energy.subarray(step.cycles.firstUsed)),
      equivalentDamping: step.energy / speedSquaredIntegral(step),
      meanPower: step.energy * step.frequency,
      symmetry: symmetryOf(run, gas, bench),
      curve: meanLoop(step, massStiffness(step, bench)),
    };
  });
}

/**
 * Closed integral of v^2 dt over a cycle [m^2/s]: from the speed in each part of both strokes where all parts are filled; else that of
 * the drive's own shape, pi omega X^2 for a sine and 16 f X^2 for constant speed.
 */
export function speedSquaredIntegral(step: ReducedStep): number {
  let sum = 0;
  for (const side of SIDES) {
    const { phase, strokeTime } = step[side];
    for (let b = 0; b < PHASE_BINS; b++)
      sum += phase.count[b]! > 0 ? (phase.speed[b]! ** 2 * strokeTime) / PHASE_BINS : NaN;
  }
  if (Number.isFinite(sum)) return sum;
  const { frequency, amplitude } = step;
  return step.drive === 'triangle' ? 16 * frequency * amplitude ** 2 : 2 * Math.PI ** 2 * frequency * amplitude ** 2;
}

/** Absent where the slope of gas is not known, as it tilts a loop in the same way. On a constant-speed drive it cannot show a void. */
function symmetryOf(run: RunStep, gas: RunGas, bench: BenchUncertainty | undefined): Partial<Record<Side, number>> {
  if (!gas.rateKnown) return {};
  // Where the zero of damping is not known, half the distance between both sides' forces stands for it.
  const { compression, rebound } = run.step;
  const scale = gas.zeroLine === 'none' ? (compression.force - rebound.force) / 2 : undefined;
  const symmetry: Partial<Record<Side, number>> = {};
  for (const side of SIDES) {
    const value = strokeSymmetry(dampingByPhase(run, side, gas, bench), scale);
    if (value !== undefined) symmetry[side] = value;
  }
  return symmetry;
}

/** Compression bins, then rebound bins, the empty ones left out; inertia taken off. */
function meanLoop(step: ReducedStep, mass: number): LoopMeasure['curve'] {
  const displacement: number[] = [];
  const force: number[] = [];
  const velocity: number[] = [];
  const spread: number[] = [];
  for (const side of SIDES) {
    const bins: PhaseBins = step[side].phase;
    for (let b = 0; b < PHASE_BINS; b++) {
      if (!(bins.count[b]! > 0)) continue;
      displacement.push(bins.displacement[b]!);
      force.push(bins.force[b]! + mass * bins.displacement[b]!);
      velocity.push(SIDE_SIGN[side] * bins.speed[b]!);
      spread.push(bins.forceSpread?.[b] ?? NaN);
    }
  }
  return {
    displacement: Float64Array.from(displacement),
    force: Float64Array.from(force),
    velocity: Float64Array.from(velocity),
    spread: Float64Array.from(spread),
  };
}

import type { RunGas } from '../gas/gasOfRun';
import type { BenchUncertainty, VoidMeasure } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { median } from '../statistics/quantile';
import { dampingOf } from './dampingBins';
import { bySetting } from './runSteps';
import type { RunStep } from './runSteps';
import type { StepVoid } from './voidAfterReversal';
import { voidInStroke } from './voidAfterReversal';

/** Shorter voids are not reported: the larger of this [m] and a share of the stroke. */
const LEAST_LENGTH = 0.0004;
const LEAST_SHARE = 0.01;
/** One step cannot tell a void from lag, which lengthens it by up to this much per peak speed [s]. */
const LAG_OF_ONE_STEP = 0.005;
/** Lag lengthens a void with speed by at most this much [s]. */
const MOST_LAG = 0.0012;
/** The slowest steps tell best; more would add lag rather than knowledge. */
const SLOWEST = 6;
const LEAST_FOR_LAG = 3;

export interface VoidContext {
  readonly bench?: BenchUncertainty;
  readonly forceZero: 'unloaded' | 'mounted' | 'unknown';
}

interface VoidOfStep {
  readonly run: RunStep;
  readonly found: StepVoid;
  /** Speed at the end of the void [m/s]. */
  readonly speed: number;
}

/** Voids of every setting and side, above the reporting limit only. */
export function voidsOfRun(steps: readonly RunStep[], gas: RunGas, context: VoidContext): VoidMeasure[] {
  return bySetting(steps).flatMap((group) =>
    SIDES.flatMap((side) => {
      const measure = voidOfSide(group, side, gas, context);
      return measure === undefined ? [] : [measure];
    }),
  );
}

function voidOfSide(group: readonly RunStep[], side: Side, gas: RunGas, context: VoidContext): VoidMeasure | undefined {
  const looked = group.map((run) => voidOfStep(run, side, gas, context.bench));
  const found = looked.filter((v) => v.found.length > 0).sort((a, b) => a.speed - b.speed);
  const shownBest = found[0];
  // About half of the steps must show it: one that only a few fast steps show is lag.
  if (shownBest === undefined || found.length < Math.max(1, Math.ceil(looked.length / 2) - 1)) return undefined;
  const slowest = found.slice(0, SLOWEST);
  const lagCorrected = slowest.length >= LEAST_FOR_LAG;
  const length = lagCorrected ? withoutLag(slowest) : shownBest.found.length;
  const { step } = shownBest.run;
  const base = Math.max(LEAST_LENGTH, LEAST_SHARE * 2 * step.amplitude);
  const limit = lagCorrected ? base : base + LAG_OF_ONE_STEP * step[side].peakSpeed;
  if (!(length > limit)) return undefined;
  return {
    setting: shownBest.run.setting,
    side,
    length,
    lagCorrected,
    key: shownBest.run.key,
    at: levelOf(shownBest, side, gas, context.forceZero),
    steps: found.length,
  };
}

function voidOfStep(run: RunStep, side: Side, gas: RunGas, bench: BenchUncertainty | undefined): VoidOfStep {
  const { step } = run;
  const damping = dampingOf(run, side, gas, bench);
  const friction = gas.friction ?? 0;
  const stroke = 2 * step.amplitude;
  const found = voidInStroke(step[side].travel, (x, f) => damping(x, f) - friction, stroke);
  return { run, found, speed: speedAfter(run, side, found.length) };
}

/** Speed at a travel after the reversal [m/s]. */
export function speedAfter(run: RunStep, side: Side, travel: number): number {
  const { amplitude, drive } = run.step;
  const peak = run.step[side].peakSpeed;
  if (drive === 'triangle') return peak;
  return peak * Math.sqrt(Math.max(0, 1 - (1 - Math.min(travel / amplitude, 1)) ** 2));
}

/** Length at zero speed: lag makes it grow with the speed at its end; slope by the median of pairs (Theil and Sen). */
function withoutLag(found: readonly VoidOfStep[]): number {
  const slopes: number[] = [];
  found.forEach((a, i) => {
    for (const b of found.slice(i + 1))
      if (b.speed > 1.02 * a.speed) slopes.push((b.found.length - a.found.length) / (b.speed - a.speed));
  });
  const slope = slopes.length > 0 ? Math.min(MOST_LAG, Math.max(0, median(slopes))) : 0;
  return median(found.map((v) => v.found.length - slope * v.speed));
}

/**
 * Where force stays during the void. At gas level the damper itself is empty there; at zero nothing is held at all, which is play in
 * mounting or rod end. Undecided where gas level and zero lie too close together, or the load cell's zero hides the difference.
 */
function levelOf(
  { run, found }: VoidOfStep,
  side: Side,
  gas: RunGas,
  forceZero: VoidContext['forceZero'],
): VoidMeasure['at'] {
  if (forceZero === 'mounted') return 'undecided';
  const margin = Math.max(15, 0.15 * found.expected, 3 * gas.measure.u);
  if (gas.measure.source === 'none') {
    // Gas level is not known, but a force that clearly stays up cannot come from play.
    return Math.abs(found.force) > 2 * margin ? 'gas level' : 'undecided';
  }
  const level = gas.modelAt(run).at(found.displacement) + SIDE_SIGN[side] * (gas.friction ?? 0);
  if (Math.abs(level) < 2 * margin) return 'undecided';
  return Math.abs(found.force - level) < Math.abs(found.force) ? 'gas level' : 'zero';
}

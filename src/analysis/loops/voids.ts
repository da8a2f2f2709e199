import type { RunGas } from '../gas/gasOfRun';
import type { BenchUncertainty, VoidMeasure } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { median } from '../statistics/quantile';
import { dampingOf } from './dampingBins';
import { massStiffness } from './inertia';
import { bySetting } from './runSteps';
import type { RunStep } from './runSteps';
import type { StepVoid } from './voidAfterReversal';
import { voidInStroke, voidOfUnknownLevel, zeroForceInStroke } from './voidAfterReversal';

/** Shorter voids are not reported: the larger of this [m] and a share of the stroke. */
const LEAST_LENGTH = 0.0004;
const LEAST_SHARE = 0.01;
/** One step cannot tell a void from lag, which lengthens it by up to this much per peak speed [s]. */
const LAG_OF_ONE_STEP = 0.005;
/** Lag lengthens a void with speed by at most this much [s]. */
const MOST_LAG = 0.0012;
/** After the corner of a constant-speed drive lag carries force over for this long [s]. */
const CARRIED_OVER = 0.002;
/** The slowest steps tell best; more would add lag rather than knowledge. */
const SLOWEST = 6;
const LEAST_FOR_LAG = 3;
/** Lengths of the steps, lag taken off, differ from their median by less than the larger of this [m] and a share of it. */
const AGREEMENT = 0.0003;
const AGREEMENT_SHARE = 0.15;
/** Gas level and zero must lie apart by twice the larger of this [N] and a share of the damping, to be told from each other. */
const LEAST_MARGIN = 15;
const MARGIN_SHARE = 0.05;
/** One level must be this much nearer than the other. */
const NEARER = 0.6;
/** One explanation takes off this much more of the squared error than the other. */
const CLEARLY = 1.1;

export interface VoidContext {
  readonly bench?: BenchUncertainty;
  readonly forceZero: 'unloaded' | 'mounted' | 'unknown';
  /** Gas force that the spec's hardware foretells at mid-stroke [N]. */
  readonly expectedGas?: number;
}

interface VoidOfStep {
  readonly run: RunStep;
  readonly found: StepVoid;
  /** Speed at the end of the void [m/s]. */
  readonly speed: number;
}

/** What a void is held to be: travel without damping, at gas level, or without any force. */
interface Explanation {
  readonly of: 'no damping' | 'no force';
  readonly steps: readonly VoidOfStep[];
  /** Squared error that it takes off, over all steps [N^2]. */
  readonly gain: number;
}

/**
 * Voids of every setting and side, above the reporting limit only.
 * @param shareOfLimit below 1 to see what may lie under the limit, for caution's sake.
 */
export function voidsOfRun(
  steps: readonly RunStep[],
  gas: RunGas,
  context: VoidContext,
  shareOfLimit = 1,
): VoidMeasure[] {
  return bySetting(steps).flatMap((group) =>
    SIDES.flatMap((side) => {
      const explanations = [withoutDamping(group, side, gas, context), withoutForce(group, side, gas, context)];
      const [better, other] = explanations.sort((a, b) => b.gain - a.gain);
      const level = (one: Explanation, two: Explanation) => (shown: VoidOfStep) =>
        levelOf(shown, one, two, side, gas, context);
      const found =
        voidOfSide(better!, side, shareOfLimit, level(better!, other!)) ??
        voidOfSide(other!, side, shareOfLimit, level(other!, better!));
      return found === undefined ? [] : [found];
    }),
  );
}

function withoutDamping(group: readonly RunStep[], side: Side, gas: RunGas, context: VoidContext): Explanation {
  const friction = gas.friction ?? 0;
  return explain('no damping', group, side, (run) => {
    const { step } = run;
    const { travel } = step[side];
    const noise = run.log.forceNoise;
    const damping = dampingOf(run, side, gas, context.bench);
    if (gas.zeroLine === 'none')
      return voidOfUnknownLevel(
        travel,
        damping,
        2 * step.amplitude,
        noise,
        step.compression.force - step.rebound.force,
        CARRIED_OVER * step[side].peakSpeed,
      );
    return voidInStroke(travel, (x, f) => damping(x, f) - friction, 2 * step.amplitude, noise);
  });
}

/** Not looked for where the load cell was zeroed with the damper mounted, as its zero is then gas level, or some other. */
function withoutForce(group: readonly RunStep[], side: Side, gas: RunGas, context: VoidContext): Explanation {
  if (context.forceZero === 'mounted' || gas.zeroLine === 'none') return { of: 'no force', steps: [], gain: 0 };
  return explain('no force', group, side, ({ step, log }) => {
    const mass = massStiffness(step, context.bench);
    return zeroForceInStroke(step[side].travel, (x, f) => f + mass * x, 2 * step.amplitude, log.forceNoise);
  });
}

function explain(
  of: Explanation['of'],
  group: readonly RunStep[],
  side: Side,
  search: (run: RunStep) => StepVoid,
): Explanation {
  const steps = group.map((run) => {
    const found = search(run);
    return { run, found, speed: speedAfter(run, side, found.length) };
  });
  return { of, steps, gain: steps.reduce((sum, { found }) => sum + found.gain, 0) };
}

function voidOfSide(
  { steps, of }: Explanation,
  side: Side,
  shareOfLimit: number,
  level: (shown: VoidOfStep) => VoidMeasure['at'],
): VoidMeasure | undefined {
  const found = steps.filter((v) => v.found.length > 0).sort((a, b) => a.speed - b.speed);
  const shownBest = found[0];
  // About half of the steps must show it: what only a few show is lag, or a force that happens to pass zero.
  const half = of === 'no force' ? Math.ceil((steps.length - 1) / 2) : Math.ceil(steps.length / 2) - 1;
  if (shownBest === undefined || found.length < Math.max(1, half)) return undefined;
  const slowest = found.slice(0, SLOWEST);
  const lagCorrected = slowest.length >= LEAST_FOR_LAG;
  const lengths = lagCorrected ? withoutLag(slowest) : [shownBest.found.length];
  const length = median(lengths);
  // A void has one length; a change point that wanders with speed is something else.
  if (median(lengths.map((l) => Math.abs(l - length))) > Math.max(AGREEMENT, AGREEMENT_SHARE * length))
    return undefined;
  const { step } = shownBest.run;
  const base = Math.max(LEAST_LENGTH, LEAST_SHARE * 2 * step.amplitude);
  const limit = lagCorrected ? base : base + LAG_OF_ONE_STEP * step[side].peakSpeed;
  if (!(length > shareOfLimit * limit)) return undefined;
  const { setting, key } = shownBest.run;
  return { setting, side, length, lagCorrected, key, at: level(shownBest), steps: found.length };
}

/** Speed at a travel after the reversal [m/s]. */
export function speedAfter(run: RunStep, side: Side, travel: number): number {
  const { amplitude, drive } = run.step;
  const peak = run.step[side].peakSpeed;
  if (drive === 'triangle') return peak;
  return peak * Math.sqrt(Math.max(0, 1 - (1 - Math.min(travel / amplitude, 1)) ** 2));
}

/** Lengths at zero speed: lag makes it grow with the speed at its end; slope by the median of pairs (Theil and Sen). */
function withoutLag(found: readonly VoidOfStep[]): number[] {
  const slopes: number[] = [];
  found.forEach((a, i) => {
    for (const b of found.slice(i + 1))
      if (b.speed > 1.02 * a.speed) slopes.push((b.found.length - a.found.length) / (b.speed - a.speed));
  });
  const slope = slopes.length > 0 ? Math.min(MOST_LAG, Math.max(0, median(slopes))) : 0;
  return found.map((v) => v.found.length - slope * v.speed);
}

/**
 * Where force stays during the void. At gas level the damper itself is empty there; at zero nothing is held at all, which is play in
 * mounting or rod end. Undecided where gas level and zero lie too close together, or the load cell's zero hides the difference.
 */
function levelOf(
  { run, found }: VoidOfStep,
  better: Explanation,
  other: Explanation,
  side: Side,
  gas: RunGas,
  context: VoidContext,
): VoidMeasure['at'] {
  if (context.forceZero === 'mounted') return 'undecided';
  const margin = Math.max(LEAST_MARGIN, MARGIN_SHARE * found.expected);
  const force = found.force + massStiffness(run.step, context.bench) * found.displacement;
  const level = gas.zeroLine === 'none' ? context.expectedGas : gas.zeroLineAt(run).at(found.displacement);
  // Gas level is not known, but a force that clearly stays up cannot come from play.
  if (level === undefined) return Math.abs(force) > 2 * margin ? 'gas level' : 'undecided';
  const held = level + SIDE_SIGN[side] * (gas.friction ?? 0);
  if (Math.abs(held) < 2 * margin) return 'undecided';
  const nearGas = Math.abs(force - held) < NEARER * Math.abs(force);
  const nearZero = Math.abs(force) < NEARER * Math.abs(force - held);
  const clear = better.gain > CLEARLY * other.gain;
  if (nearGas && (clear || better.of === 'no damping')) return 'gas level';
  return nearZero && (clear || better.of === 'no force') ? 'zero' : 'undecided';
}

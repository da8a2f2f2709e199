import type { RunGas } from '../gas/gasOfRun';
import { PHASE_BINS } from '../reducedLog';
import type { BenchUncertainty, DropMeasure, StepKey, VoidMeasure } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { median } from '../statistics/quantile';
import { dampingByPhase } from './dampingBins';
import { bySetting } from './runSteps';
import type { RunStep } from './runSteps';

/** Cells of travel that shortfalls are averaged in. */
const CELLS = 40;
/** Phase bins next to the turning points, and places beyond this share of the amplitude, are left out: lag and friction rule there. */
const EDGE_BINS = 5;
const REACH = 0.85;
/** Within this share of mid-stroke the opposite half of the same stroke is at the same place and cannot tell. */
const SAME_PLACE = 0.2;
const LEAST_COMPARISONS = 3;
/** Less expected damping than this carries no percentage [N]. */
const LEAST_DAMPING = 40;
/** Smallest share reported; the limit for a finding is a rule's. */
const LEAST_SHARE = 0.02;
/** Scatter of a comparison that noise does not explain. */
const OWN_SCATTER = 0.01;

/** One side of one step: what its phase bins hold. */
interface StepLoop {
  readonly run: RunStep;
  readonly displacement: Float64Array;
  readonly speed: Float64Array;
  readonly damping: Float64Array;
  readonly count: Float64Array;
}

/**
 * Local drops: where in the stroke damping falls short of the median at equal speed of the other steps and of the opposite half,
 * averaged over the steps on a grid of travel. Largest one of each setting and side. Only on sine drives, where one place is passed
 * at many speeds; blind at mid-stroke of the fastest step, which has no equal elsewhere.
 *
 * @param voids found before: travel within one is left out, as it would be named twice.
 */
export function dropsOfRun(
  steps: readonly RunStep[],
  gas: RunGas,
  bench: BenchUncertainty | undefined,
  voids: readonly VoidMeasure[],
): DropMeasure[] {
  if (!gas.rateKnown) return [];
  const sine = steps.filter((s) => s.step.drive === 'sine');
  return bySetting(sine).flatMap((group) =>
    SIDES.flatMap((side) => {
      const loops = group.map((run) => loopOf(run, side, gas, bench));
      const own = voids.find((v) => v.side === side && v.setting.join(' ') === group[0]!.settingName);
      const drop = largestDrop(loops, side, own?.length ?? 0);
      return drop === undefined ? [] : [{ setting: group[0]!.setting, side, ...drop }];
    }),
  );
}

function loopOf(run: RunStep, side: Side, gas: RunGas, bench: BenchUncertainty | undefined): StepLoop {
  const { displacement, speed, count } = run.step[side].phase;
  const friction = gas.friction ?? 0;
  const damping = dampingByPhase(run, side, gas, bench).map((d) => d - friction);
  return { run, displacement, speed, count, damping };
}

function largestDrop(
  loops: readonly StepLoop[],
  side: Side,
  voidLength: number,
): Omit<DropMeasure, 'setting' | 'side'> | undefined {
  const amplitude = Math.max(...loops.map((l) => l.run.step.amplitude));
  const profile = new DropProfile(amplitude);
  const indices = loops.map(halvesBySpeed);
  for (const [k, loop] of loops.entries()) {
    for (let b = EDGE_BINS; b < PHASE_BINS - EDGE_BINS; b++) {
      const x = loop.displacement[b]!;
      const own = loop.run.step.amplitude;
      if (!(loop.count[b]! > 0) || !(Math.abs(x) <= REACH * own)) continue;
      if (SIDE_SIGN[side] * x + own < 1.2 * voidLength) continue;
      const expected = expectedAt(loops, indices, k, b, Math.abs(x) < SAME_PLACE * own);
      if (expected === undefined) continue;
      const noise = loop.run.log.forceNoise / Math.sqrt(loop.count[b]!) / expected + OWN_SCATTER;
      profile.add(x, 1 - loop.damping[b]! / expected, 1 / (noise * noise), loop.run.key);
    }
  }
  return profile.largest();
}

/** Bins of each half in which speed runs through from 0 to peak, as index ranges. */
function halvesBySpeed(): readonly (readonly [number, number])[] {
  return [
    [1, PHASE_BINS / 2 - 1],
    [PHASE_BINS / 2, PHASE_BINS - 2],
  ];
}

function expectedAt(
  loops: readonly StepLoop[],
  halves: readonly (readonly (readonly [number, number])[])[],
  k: number,
  b: number,
  atMiddle: boolean,
): number | undefined {
  const speed = loops[k]!.speed[b]!;
  const ownHalf = b >= PHASE_BINS / 2 ? 1 : 0;
  const values: number[] = [];
  loops.forEach((other, j) => {
    halves[j]!.forEach((range, half) => {
      if (j === k && (half === ownHalf || atMiddle)) return;
      const value = dampingAtSpeed(other, speed, range);
      if (value !== undefined) values.push(value);
    });
  });
  if (values.length < LEAST_COMPARISONS) return undefined;
  const expected = median(values);
  return expected < LEAST_DAMPING ? undefined : expected;
}

function dampingAtSpeed(loop: StepLoop, speed: number, [from, to]: readonly [number, number]): number | undefined {
  const { speed: v, damping } = loop;
  for (let b = from; b < to; b++) {
    const low = v[b]!;
    const high = v[b + 1]!;
    if (!((low - speed) * (high - speed) <= 0) || low === high) continue;
    const value = damping[b]! + ((damping[b + 1]! - damping[b]!) * (speed - low)) / (high - low);
    return Number.isNaN(value) ? undefined : value;
  }
  return undefined;
}

/** Weighted mean shortfall on a grid of travel. */
class DropProfile {
  private readonly sum = new Float64Array(CELLS);
  private readonly weight = new Float64Array(CELLS);
  private readonly count = new Int32Array(CELLS);
  private readonly worst = new Float64Array(CELLS).fill(-Infinity);
  private readonly worstKey: (StepKey | undefined)[] = new Array<StepKey | undefined>(CELLS).fill(undefined);

  constructor(private readonly amplitude: number) {}

  add(displacement: number, shortfall: number, weight: number, key: StepKey): void {
    const cell = Math.min(CELLS - 1, Math.max(0, Math.floor(((displacement / this.amplitude + 1) / 2) * CELLS)));
    this.sum[cell]! += weight * shortfall;
    this.weight[cell]! += weight;
    this.count[cell]! += 1;
    if (shortfall > this.worst[cell]!) {
      this.worst[cell] = shortfall;
      this.worstKey[cell] = key;
    }
  }

  largest(): Omit<DropMeasure, 'setting' | 'side'> | undefined {
    const profile = Array.from(this.sum, (s, i) => (this.count[i]! >= 2 ? s / this.weight[i]! : NaN));
    let top = -1;
    for (let i = 1; i < CELLS - 1; i++) if (profile[i]! > (top < 0 ? LEAST_SHARE : profile[top]!)) top = i;
    const key = this.worstKey[top];
    if (top < 0 || key === undefined) return undefined;
    const share = profile[top]!;
    let from = top;
    let to = top;
    while (from > 0 && profile[from - 1]! > share / 2) from--;
    while (to < CELLS - 1 && profile[to + 1]! > share / 2) to++;
    const cell = (2 * this.amplitude) / CELLS;
    return { share, displacement: (top + 0.5) * cell - this.amplitude, width: (to - from + 1) * cell, key };
  }
}

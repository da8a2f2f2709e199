import type { RunGas } from '../gas/gasOfRun';
import { PHASE_BINS } from '../reducedLog';
import type { BenchUncertainty, LagMeasure, VoidMeasure } from '../runAnalysis';
import type { Side } from '../side';
import { SIDE_SIGN, SIDES } from '../side';
import { goldenSection } from '../statistics/goldenSection';
import { interpolatePchip } from '../statistics/pchip';
import { mean } from '../statistics/quantile';
import { dampingByPhase } from './dampingBins';
import { bySetting, sameSpeed } from './runSteps';
import type { RunStep } from './runSteps';

/** Search range of the lag [s], and as a share of the stroke's time. */
const MOST_LAG = 0.02;
const MOST_SHARE = 0.15;
/** A lag less certain than this is left out [s]; how far the sharpness of its minimum is probed. */
const MOST_SCATTER = 0.0003;
const PROBE = 0.0002;
/** Bins within this share of the stroke's time from its ends are left out: friction turns round there. */
const EDGE_SHARE = 0.12;
/** Bins on each side of the half-speed crossing that carry its line. */
const AROUND_HALF = 3;
/** Damping at peak speed below this carries no percentage [N]. */
const LEAST_DAMPING = 20;
/** Standard uncertainty of the slope of gas where no fit states one, such as one that the spec's hardware foretells: a share of it. */
const RATE_SHARE = 0.1;

/** Damping magnitude, friction included, over unsigned speed. */
type Curve = (speed: number) => number;

/**
 * Lag and hysteresis of every sine step and side. Lag tau minimises the integral of (D(t) - D_curve(v(t - tau)))^2, with D_curve through
 * the peak points of the setting's steps; where there are fewer than three speeds, or for the slowest step, D_curve is the mean of both
 * halves of the stroke at equal speed. Both are left out where the slope of gas is not known, since that bends a loop in the same way.
 * Lag alone is left out where scatter and the uncertainty of that slope leave it uncertain by more than MOST_SCATTER, where it comes
 * out below zero, which no fluid column shows, and beside a void after the reversal, which delays force as a lag would.
 */
export function lagsOfRun(
  steps: readonly RunStep[],
  gas: RunGas,
  bench: BenchUncertainty | undefined,
  voids: readonly VoidMeasure[] = [],
): LagMeasure[] {
  if (!gas.rateKnown) return [];
  const sine = steps.filter((s) => s.step.drive === 'sine');
  return bySetting(sine).flatMap((group) =>
    SIDES.flatMap((side) => {
      const besideVoid = voids.some((v) => v.side === side && v.setting.join(' ') === group[0]!.settingName);
      return lagsOfSide(group, side, gas, bench, !besideVoid);
    }),
  );
}

function lagsOfSide(
  group: readonly RunStep[],
  side: Side,
  gas: RunGas,
  bench: BenchUncertainty | undefined,
  tellsLag: boolean,
): LagMeasure[] {
  const loops = group.map((run) => ({ run, damping: dampingByPhase(run, side, gas, bench) }));
  const peaks = peakPoints(loops, side);
  const slowest = peaks[0]?.speed ?? Infinity;
  const curve = peaks.length >= 3 ? curveThrough(peaks) : undefined;
  return loops.flatMap(({ run, damping }) => {
    const { speed, displacement } = run.step[side].phase;
    const peak = atPeak(damping);
    const hysteresis = hysteresisAtHalf(speed, damping, run.step[side].peakSpeed, peak);
    if (hysteresis === undefined) return [];
    const known = { key: run.key, setting: run.setting, side, hysteresis };
    if (!tellsLag) return [known];
    const isSlowest = sameSpeed(run.step[side].peakSpeed, slowest);
    const lagOf = (values: Float64Array): FittedLag | undefined =>
      curve === undefined || isSlowest ? lagOfItself(run, side, values) : lagAgainst(run, side, values, curve, slowest);
    const lag = lagOf(damping);
    const rateU = gas.measure.rateU ?? RATE_SHARE * Math.abs(gas.zeroLineAt(run).rate);
    const tilted = lagOf(damping.map((d, b) => d + SIDE_SIGN[side] * rateU * displacement[b]!));
    if (lag === undefined || tilted === undefined || !(lag.value > 0)) return [known];
    const u = Math.hypot(lag.scatter, tilted.value - lag.value);
    return [u < MOST_SCATTER ? { ...known, lag: lag.value } : known];
  });
}

/** A lag and its standard uncertainty from scatter [s]. */
interface FittedLag {
  readonly value: number;
  readonly scatter: number;
}

interface PeakPoint {
  readonly speed: number;
  readonly damping: number;
}

/** Damping at peak speed over speed, repeats averaged, by rising speed. */
function peakPoints(
  loops: readonly { readonly run: RunStep; readonly damping: Float64Array }[],
  side: Side,
): PeakPoint[] {
  const points = loops
    .map(({ run, damping }) => ({ speed: run.step[side].peakSpeed, damping: atPeak(damping) }))
    .filter((p) => Number.isFinite(p.damping))
    .sort((a, b) => a.speed - b.speed);
  const merged: PeakPoint[][] = [];
  for (const point of points) {
    const last = merged.at(-1);
    if (last !== undefined && sameSpeed(last[0]!.speed, point.speed)) last.push(point);
    else merged.push([point]);
  }
  return merged.map((same) => ({ speed: mean(same.map((p) => p.speed)), damping: mean(same.map((p) => p.damping)) }));
}

function curveThrough(points: readonly PeakPoint[]): Curve {
  const curve = interpolatePchip(
    points.map((p) => p.speed),
    points.map((p) => p.damping),
  );
  return (speed) => curve(speed).value;
}

/** Mean of the bins about mid-stroke, where speed is flat. */
function atPeak(damping: Float64Array): number {
  const middle = Array.from(damping.subarray(PHASE_BINS / 2 - 2, PHASE_BINS / 2 + 2)).filter((d) => !Number.isNaN(d));
  return mean(middle);
}

/** Gap between the decelerating and the accelerating half at half of peak speed, percent of damping at peak speed. */
function hysteresisAtHalf(
  speed: Float64Array,
  damping: Float64Array,
  peakSpeed: number,
  peak: number,
): number | undefined {
  const half = PHASE_BINS / 2;
  const accelerating = dampingAt(speed, damping, peakSpeed / 2, 1, half);
  const decelerating = dampingAt(speed, damping, peakSpeed / 2, half, PHASE_BINS - 1);
  if (accelerating === undefined || decelerating === undefined || !(peak >= LEAST_DAMPING)) return undefined;
  return (100 * (decelerating - accelerating)) / peak;
}

/** Damping where speed passes a value between two bins, on a straight line through the bins around. */
function dampingAt(
  speed: Float64Array,
  damping: Float64Array,
  at: number,
  from: number,
  to: number,
): number | undefined {
  for (let b = from; b + 1 < to; b++) {
    if (!((speed[b]! - at) * (speed[b + 1]! - at) <= 0)) continue;
    let n = 0;
    let sv = 0;
    let sd = 0;
    let svv = 0;
    let svd = 0;
    for (let i = Math.max(from, b - AROUND_HALF + 1); i <= Math.min(to - 1, b + AROUND_HALF); i++) {
      const u = speed[i]! - at;
      const d = damping[i]!;
      if (Number.isNaN(u) || Number.isNaN(d)) continue;
      n++;
      sv += u;
      sd += d;
      svv += u * u;
      svd += u * d;
    }
    const slope = (n * svd - sv * sd) / (n * svv - sv * sv);
    return n < 2 || !Number.isFinite(slope) ? undefined : (sd - slope * sv) / n;
  }
  return undefined;
}

/** Lag against the mean of both halves at equal speed: to first order lag moves the halves apart by the same amount either way. */
function lagOfItself(run: RunStep, side: Side, damping: Float64Array): FittedLag | undefined {
  const { speed } = run.step[side].phase;
  const points: PeakPoint[] = [];
  const half = PHASE_BINS / 2;
  for (let share = 0.3; share <= 0.96; share += 0.06) {
    const at = share * run.step[side].peakSpeed;
    const a = dampingAt(speed, damping, at, 1, half);
    const d = dampingAt(speed, damping, at, half, PHASE_BINS - 1);
    if (a !== undefined && d !== undefined) points.push({ speed: at, damping: (a + d) / 2 });
  }
  const top = atPeak(damping);
  if (Number.isFinite(top)) points.push({ speed: run.step[side].peakSpeed, damping: top });
  if (points.length < 4) return undefined;
  return lagAgainst(run, side, damping, curveThrough(points), points[0]!.speed);
}

/** Golden section over the lag; the sum of squares has one minimum, as speed is a single arch. */
function lagAgainst(
  run: RunStep,
  side: Side,
  damping: Float64Array,
  curve: Curve,
  fromSpeed: number,
): FittedLag | undefined {
  const { speed } = run.step[side].phase;
  const time = run.step[side].strokeTime;
  const bins: number[] = [];
  for (let b = 0; b < PHASE_BINS; b++) {
    const share = (b + 0.5) / PHASE_BINS;
    const inside = share > EDGE_SHARE + MOST_SHARE / 2 && share < 1 - EDGE_SHARE;
    if (inside && !Number.isNaN(damping[b]!) && speed[b]! >= fromSpeed) bins.push(b);
  }
  if (bins.length < 10) return undefined;
  const speedAt = sineSpeed(run.step[side].peakSpeed);
  const cost = (lag: number): number => {
    let sum = 0;
    for (const b of bins) {
      const share = (b + 0.5) / PHASE_BINS - lag / time;
      sum += (damping[b]! - curve(Math.max(fromSpeed, speedAt(share)))) ** 2;
    }
    return sum;
  };
  const most = Math.min(MOST_LAG, MOST_SHARE * time);
  const lag = goldenSection(cost, -most, most);
  return Math.abs(lag) < 0.98 * most ? { value: lag, scatter: scatterOfMinimum(cost, lag, bins.length) } : undefined;
}

/** Standard uncertainty of the place of a least-squares minimum [s], from what is left there and how sharp it is. */
function scatterOfMinimum(cost: (lag: number) => number, lag: number, values: number): number {
  const rest = cost(lag);
  const curvature = (cost(lag + PROBE) + cost(lag - PROBE) - 2 * rest) / (PROBE * PROBE);
  // What is left runs smoothly from bin to bin: about a quarter of the bins count as independent.
  return curvature > 0 ? Math.sqrt((2 * rest * 4) / (values - 1) / curvature) : Infinity;
}

function sineSpeed(peak: number): (share: number) => number {
  return (share) => peak * Math.sin(Math.PI * Math.min(1, Math.max(0, share)));
}

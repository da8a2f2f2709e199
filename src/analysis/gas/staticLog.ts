import type { PhaseBins, ReducedLog, ReducedStep } from '../reducedLog';
import { leastSquares } from '../statistics/leastSquares';
import { mean } from '../statistics/quantile';
import type { GasModel } from './gasModel';
import { curvedGas } from './gasModel';

/** A static log moves no faster than this [m/s]; valves then add little to friction. */
const STATIC_SPEED = 0.015;
/** Looked at within this share of the amplitude, clear of the turning points where friction turns round. */
const REACH = 0.8;
const PLACES = 33;

export interface StaticFit {
  /** Displacement from the static log's own mid-stroke. */
  readonly model: GasModel;
  readonly gasU: number;
  readonly friction: number;
  readonly frictionU: number;
  readonly temperature?: number;
  /** Mid-stroke in the log's own coordinate, and half its travel [m]. */
  readonly middle: number;
  readonly amplitude: number;
}

/**
 * Gas and friction from a log that moves slowly in and out: at one displacement, half the sum of both directions is gas, half the
 * difference is friction. With several speeds both are the values towards zero speed: unequal valves move the half sum too.
 *
 * @returns undefined where no step is slow enough or its strokes do not overlap.
 */
export function fitStaticLog(log: ReducedLog): StaticFit | undefined {
  const slow = log.steps.filter((s) => Math.max(s.compression.peakSpeed, s.rebound.peakSpeed) <= STATIC_SPEED);
  const fits = slow.map(fitStep).filter((fit) => fit !== undefined);
  const first = fits[0];
  if (first === undefined) return undefined;
  const friction = frictionAtRest(fits);
  const gas = towardsZeroSpeed(fits, (f) => f.force) ?? gasAtOneSpeed(fits);
  const rate = mean(fits.map((f) => f.rate));
  const curve = mean(fits.map((f) => f.curve));
  const noise = log.forceNoise;
  const temperatures = slow.flatMap((s) => (s.temperature === undefined ? [] : [s.temperature.mean]));
  const samples = Math.max(1, mean(fits.map((f) => f.samples)));
  return {
    model: curvedGas(gas.value, rate, curve),
    gasU: Math.hypot(gas.u, Math.max(...fits.map((f) => f.scatter)), noise / Math.sqrt(samples), 1),
    friction: friction.value,
    frictionU: Math.hypot(friction.u, noise / Math.sqrt(samples), 1),
    ...(temperatures.length > 0 && { temperature: mean(temperatures) }),
    middle: mean(slow.map((s) => s.middle)),
    amplitude: Math.min(...slow.map((s) => s.amplitude)),
  };
}

interface StaticStep {
  readonly force: number;
  readonly rate: number;
  /** Of the square of displacement [N/m2]: gas force bends, and a straight line would lie above it at mid-stroke. */
  readonly curve: number;
  readonly friction: number;
  /** Standard deviation of half sums about their parabola [N], over the root of the places. */
  readonly scatter: number;
  readonly speed: number;
  readonly samples: number;
}

function fitStep(step: ReducedStep): StaticStep | undefined {
  const design: number[][] = [];
  const sums: number[] = [];
  const differences: number[] = [];
  for (let k = 0; k < PLACES; k++) {
    const x = step.amplitude * REACH * ((2 * k) / (PLACES - 1) - 1);
    const inward = forceAt(step.compression.phase, x);
    const outward = forceAt(step.rebound.phase, x);
    if (inward === undefined || outward === undefined) continue;
    design.push([1, x, x * x]);
    sums.push((inward + outward) / 2);
    differences.push((inward - outward) / 2);
  }
  if (design.length < PLACES / 2) return undefined;
  const parabola = leastSquares(design, sums);
  if (parabola === undefined) return undefined;
  return {
    force: parabola.coefficients[0]!,
    rate: parabola.coefficients[1]!,
    curve: parabola.coefficients[2]!,
    friction: mean(differences),
    scatter: Math.sqrt(parabola.residualVariance / design.length),
    speed: (step.compression.peakSpeed + step.rebound.peakSpeed) / 2,
    samples: step.compression.phase.count.reduce((sum, n) => sum + n, 0),
  };
}

/** Force at a displacement of one stroke, straight between filled bins. */
function forceAt(bins: PhaseBins, x: number): number | undefined {
  let before = -1;
  for (let b = 0; b < bins.count.length; b++) {
    if (!(bins.count[b]! > 0)) continue;
    if (before >= 0) {
      const x0 = bins.displacement[before]!;
      const x1 = bins.displacement[b]!;
      if ((x0 - x) * (x1 - x) <= 0 && x0 !== x1) {
        const q = (x - x0) / (x1 - x0);
        return bins.force[before]! + q * (bins.force[b]! - bins.force[before]!);
      }
    }
    before = b;
  }
  return undefined;
}

interface AtRest {
  readonly value: number;
  /** Standard uncertainty: what reading towards zero speed adds to the slowest speed, as a rectangular half-width [N]. */
  readonly u: number;
}

/**
 * Friction at rest from half differences at several speeds. A single speed shows friction and valves together, so that friction is only
 * known to lie between nothing and that.
 */
function frictionAtRest(fits: readonly StaticStep[]): AtRest {
  const atRest = towardsZeroSpeed(fits, (f) => f.friction);
  if (atRest !== undefined && atRest.value >= 0) return atRest;
  const value = mean(fits.map((f) => f.friction));
  return { value, u: Math.abs(value) / Math.sqrt(3) };
}

/**
 * Gas from a single speed. At STATIC_SPEED valves may be all of what looks like friction, and in proportion below; where they are unlike
 * they pull the half sum by up to half of that.
 */
function gasAtOneSpeed(fits: readonly StaticStep[]): AtRest {
  const pull = mean(fits.map((f) => (Math.abs(f.friction) * f.speed) / STATIC_SPEED)) / 2;
  return { value: mean(fits.map((f) => f.force)), u: pull / Math.sqrt(3) };
}

/** A force carried on to zero speed along a straight line; undefined where the speeds do not spread enough for one. */
function towardsZeroSpeed(fits: readonly StaticStep[], force: (fit: StaticStep) => number): AtRest | undefined {
  const bySpeed = [...fits].sort((a, b) => a.speed - b.speed);
  const [slowest, fastest] = [bySpeed[0]!, bySpeed.at(-1)!];
  if (fits.length < 2 || !(fastest.speed > 1.5 * slowest.speed)) return undefined;
  const line = leastSquares(
    fits.map((f) => [1, f.speed]),
    fits.map(force),
  );
  const value = line?.coefficients[0];
  return value === undefined ? undefined : { value, u: Math.abs(force(slowest) - value) / Math.sqrt(3) };
}

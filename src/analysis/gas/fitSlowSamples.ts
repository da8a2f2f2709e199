import type { SlowSamples } from '../reducedLog';
import { solvePositiveDefinite } from '../statistics/normalEquations';
import type { GasModel } from './gasModel';
import { gasBetweenEnds } from './gasModel';
import { SLOW_TO } from './slowSamples';

const UNKNOWNS = 7;
/** Fewer samples at an end than this cannot carry its gas force and two slopes. */
export const LEAST_SAMPLES_AN_END = 20;
/**
 * What the local straight lines leave out: valves bend between 4 and 15 mm/s, and the speed itself has an error. Standard
 * uncertainties, from simulated healthy dampers (tests/analysis/gas).
 */
const METHOD_GAS = 1.2;
const METHOD_GAS_RELATIVE = 0.003;
const METHOD_FRICTION = 0.9;
const METHOD_FRICTION_RELATIVE = 0.02;

export interface SlowFit {
  readonly model: GasModel;
  /** Standard uncertainties [N]: of gas at mid-stroke and of friction, the method's own part included. */
  readonly gasU: number;
  /** Of the slope of gas [N/m]. */
  readonly rateU: number;
  readonly friction: number;
  readonly frictionU: number;
  /** The parts of both that scatter gives alone. */
  readonly gasScatter: number;
  readonly frictionScatter: number;
  /** Whether force after a reversal builds up far more steeply than speed alone explains: then neither number can be relied on. */
  readonly hysteretic: boolean;
  /** Root mean square of what the straight lines leave [N]; white noise alone leaves the noise of the channel. */
  readonly residual: number;
}

/** Branches (+end, -v) and (-end, +v) speed up after a reversal; the other branch of the same side slows down at the other end. */
const SPEEDING_UP = { compression: 2, rebound: 1 } as const;
const SLOWING_DOWN = { compression: 0, rebound: 3 } as const;
/** A valve shows one slope on both; twice as much is beyond any lag of a healthy damper, once it matters [N]. */
const STEEPER = 2;
const LEAST_EXCESS = 8;

/**
 * Gas force and friction from the slow samples of a sine step: F = gas(end) + sign(v) friction + slope(end, direction) v.
 *
 * @param rodArea [m2] for the polytropic course between the ends; straight without it.
 * @param massStiffness apparent spring of the moving mass, m omega^2 [N/m]: at the ends its inertia looks like gas.
 * @returns undefined where an end or a branch has too few samples to tell the unknowns apart.
 */
export function fitSlowSamples(
  slow: SlowSamples,
  rodArea: number | undefined,
  massStiffness: number,
): SlowFit | undefined {
  const { positive, negative } = slow;
  const samples = positive.samples + negative.samples;
  if (Math.min(positive.samples, negative.samples) < LEAST_SAMPLES_AN_END) return undefined;
  const solution = solveScaled(slow.normal, slow.right, slow.displacementRight);
  if (solution === undefined) return undefined;
  const { unknowns, places, inverse } = solution;
  const explained = unknowns.reduce((sum, value, i) => sum + value * slow.right[i]!, 0);
  const residual = Math.max(0, slow.sumOfSquares - explained) / (samples - UNKNOWNS);
  const ends = [0, 1].map((end) => ({
    displacement: places[end]!,
    force: unknowns[end]! + massStiffness * places[end]!,
  }));
  const [above, below] = [ends[0]!, ends[1]!];
  if (!(above.displacement - below.displacement > 0)) return undefined;
  const model = gasBetweenEnds(above, below, rodArea);
  const span = above.displacement - below.displacement;
  const share = -below.displacement / span;
  const endsVariance = inverse(0, 0) + inverse(1, 1) - 2 * inverse(0, 1);
  const gasVariance =
    share * share * inverse(0, 0) + (1 - share) * (1 - share) * inverse(1, 1) + 2 * share * (1 - share) * inverse(0, 1);
  const gasScatter = Math.sqrt(Math.max(0, residual * gasVariance));
  // What gas and inertia leave in the friction unknown because both branches of an end were not passed at quite the same places.
  const slope = (above.force - below.force) / span - massStiffness;
  const friction = unknowns[2]! - slope * places[2]!;
  const frictionScatter = Math.sqrt(Math.max(0, residual * inverse(2, 2)));
  return {
    model,
    rateU: Math.hypot(Math.sqrt(Math.max(0, residual * endsVariance)), Math.SQRT2 * METHOD_GAS) / span,
    gasU: Math.hypot(gasScatter, METHOD_GAS, METHOD_GAS_RELATIVE * model.force),
    friction,
    frictionU: Math.hypot(frictionScatter, METHOD_FRICTION, METHOD_FRICTION_RELATIVE * friction),
    gasScatter,
    frictionScatter,
    hysteretic: isHysteretic(solution, slope, residual),
    residual: Math.sqrt(residual),
  };
}

/** Compares the slopes of force over speed before and after the reversals, gas along the way taken off. */
function isHysteretic({ unknowns, places, inverse }: Solution, gasSlope: number, residual: number): boolean {
  const valve = (branch: number): number => unknowns[3 + branch]! - gasSlope * places[3 + branch]!;
  return (['compression', 'rebound'] as const).some((side) => {
    const up = SPEEDING_UP[side];
    const down = SLOWING_DOWN[side];
    const excess = valve(up) - STEEPER * Math.max(0, valve(down));
    const variance =
      inverse(3 + up, 3 + up) + STEEPER ** 2 * inverse(3 + down, 3 + down) - 2 * STEEPER * inverse(3 + up, 3 + down);
    return excess * SLOW_TO > Math.max(LEAST_EXCESS, 3 * SLOW_TO * Math.sqrt(Math.max(0, residual * variance)));
  });
}

interface Solution {
  readonly unknowns: Float64Array;
  /** The same combination of samples taken of displacement: where the gas unknowns stand. */
  readonly places: Float64Array;
  readonly inverse: (i: number, j: number) => number;
}

/** Solves the normal equations with every unknown scaled to a unit diagonal, as speeds are thousands of times smaller than counts. */
function solveScaled(normal: Float64Array, right: Float64Array, displacementRight: Float64Array): Solution | undefined {
  const n = UNKNOWNS;
  const scale = Float64Array.from({ length: n }, (_, i) => 1 / Math.sqrt(normal[i * n + i]!));
  if (!scale.every((s) => Number.isFinite(s))) return undefined;
  const matrix = normal.map((value, k) => value * scale[Math.floor(k / n)]! * scale[k % n]!);
  const columns = n + 2;
  const solved = new Float64Array(n * columns);
  for (let i = 0; i < n; i++) {
    solved[i * columns] = right[i]! * scale[i]!;
    solved[i * columns + 1] = displacementRight[i]! * scale[i]!;
    solved[i * columns + 2 + i] = 1;
  }
  if (!solvePositiveDefinite(matrix, solved, n, columns)) return undefined;
  const column = (c: number): Float64Array =>
    Float64Array.from({ length: n }, (_, i) => solved[i * columns + c]! * scale[i]!);
  const inverse = (i: number, j: number): number => solved[i * columns + 2 + j]! * scale[i]! * scale[j]!;
  return { unknowns: column(0), places: column(1), inverse };
}

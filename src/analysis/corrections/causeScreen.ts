import { solvePositiveDefinite } from '../statistics/normalEquations';
import { CauseEffects } from './causeEffects';
import type { CauseFit } from './causeFit';
import type { Cause, DriftModel } from './driftModel';
import { areStraight, sameCause } from './driftModel';

export interface ScreenedCauses {
  readonly causes: readonly Cause[];
  /** A fit leaves no less: known where the effects are straight lines, else -Infinity. */
  readonly least: number;
}

/** Of what is left on straight lines against what a fit leaves, as a share of the drift's squares. */
const ROUNDING = 1e-9;

/**
 * Combinations of so many causes, those that leave least on a straight line through the best fit so far first: so that only the first few
 * need their rounds of fitting.
 *
 * @param around the fit whose sizes the line touches; causes that it does not hold stand at zero.
 */
export function screenedCauses(
  model: DriftModel,
  candidates: readonly Cause[],
  around: CauseFit,
  size: number,
  most: number,
): readonly ScreenedCauses[] {
  fillColumns(model, candidates, around);
  const ranked: { readonly chosen: readonly number[]; readonly left: number }[] = [];
  for (const chosen of combinations(candidates.length, size)) {
    const left = leftBy(chosen);
    if (Number.isFinite(left)) ranked.push({ chosen, left });
  }
  const rounding = ROUNDING * product(candidates.length, candidates.length);
  return ranked
    .sort((a, b) => a.left - b.left)
    .slice(0, most)
    .map(({ chosen, left }) => {
      const causes = chosen.map((k) => candidates[k]!);
      const straight = areStraight([...causes, ...around.causes]);
      return { causes, least: straight ? left - rounding : -Infinity };
    });
}

/** Made once: one screen follows the other. */
const effects = new CauseEffects();
let points = 0;
let causes = 0;
/** Weighted derivatives by every candidate's size, and as the last one the drift on the line, one after the other. */
let columns = new Float64Array(0);
/** Derivatives at one point. */
let row = new Float64Array(0);
/** Columns against each other, where they were asked for: NaN before. Lower triangle. */
let cross = new Float64Array(0);

function fillColumns(model: DriftModel, candidates: readonly Cause[], around: CauseFit): void {
  const n = candidates.length;
  causes = n;
  points = model.points.length;
  if (columns.length < (n + 1) * points) columns = new Float64Array((n + 1) * points);
  if (row.length < n) row = new Float64Array(n);
  if (cross.length < (n + 1) * (n + 1)) cross = new Float64Array((n + 1) * (n + 1));
  cross.fill(NaN);
  const sizes = candidates.map((one) => around.sizes[around.causes.findIndex((cause) => sameCause(cause, one))] ?? 0);
  effects.begin(model, candidates);
  effects.take(sizes);
  for (let i = 0; i < points; i++) {
    effects.derivatives(i, row);
    const root = Math.sqrt(model.weights[i]!);
    let onLine = effects.rests[i]!;
    for (let k = 0; k < n; k++) {
      onLine += sizes[k]! * row[k]!;
      columns[k * points + i] = root * row[k]!;
    }
    columns[n * points + i] = root * onLine;
  }
}

/** Sum of squares that these columns leave; infinite where they cannot be told apart. */
function leftBy(chosen: readonly number[]): number {
  const p = chosen.length;
  const [left, right, wanted, scale] = SCRATCH;
  for (let a = 0; a < p; a++) {
    const length = Math.sqrt(product(chosen[a]!, chosen[a]!));
    if (!(length > 0)) return Infinity;
    scale[a] = length;
    right[a] = wanted[a] = product(causes, chosen[a]!) / length;
    for (let b = 0; b <= a; b++) left[a * p + b] = product(chosen[a]!, chosen[b]!) / (length * scale[b]!);
  }
  if (!solvePositiveDefinite(left, right, p, 1)) return Infinity;
  let gain = 0;
  for (let a = 0; a < p; a++) gain += right[a]! * wanted[a]!;
  return product(causes, causes) - gain;
}

/** One column against another, b up to a: of single causes few are asked for. */
function product(a: number, b: number): number {
  const at = a * (causes + 1) + b;
  let sum = cross[at]!;
  if (Number.isNaN(sum)) {
    sum = 0;
    const [ofA, ofB] = [a * points, b * points];
    for (let i = 0; i < points; i++) sum += columns[ofA + i]! * columns[ofB + i]!;
    cross[at] = sum;
  }
  return sum;
}

/** For up to eight causes: normal equations, right side and solution, right side as it was, lengths of the columns. Made once. */
const SCRATCH = [new Float64Array(64), new Float64Array(8), new Float64Array(8), new Float64Array(8)] as const;

/** Every choice of `size` out of `count`, as rising indices; the same for one result after the other. */
function combinations(count: number, size: number): readonly (readonly number[])[] {
  const at = MOST_OF_ONE * count + size;
  return (chosen[at] ??= chooseFrom(0, count, size));
}

const MOST_OF_ONE = 16;
const chosen: (readonly (readonly number[])[])[] = [];

function chooseFrom(from: number, count: number, size: number): readonly (readonly number[])[] {
  if (size === 0) return [[]];
  const all: (readonly number[])[] = [];
  for (let first = from; first <= count - size; first++)
    for (const rest of chooseFrom(first + 1, count, size - 1)) all.push([first, ...rest]);
  return all;
}

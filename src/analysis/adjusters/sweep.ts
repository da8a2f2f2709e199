/**
 * One side's damping over the positions of one adjuster, all others held. Positions rise and are in the adjuster's own unit
 * (clicks out from fully closed, turns, lb): a step is always taken per unit, never per row.
 */
export interface AdjusterSweep {
  readonly positions: readonly number[];
  /** Peak speeds, rising [m/s]. */
  readonly speeds: readonly number[];
  /** Magnitude of damping force, [position][speed] [N]; above zero. */
  readonly damping: readonly (readonly number[])[];
  /** Standard uncertainty of each, [position][speed] [N]; absent where none is stated, so that significance cannot be judged. */
  readonly u?: readonly (readonly number[])[];
}

/** What a sweep says of its adjuster: the part of ln D (or D) that moves with the position. */
export interface SweepLevels {
  /** Change of ln D a unit at each speed; positive where opening softens. With law 'equal': of D itself [N]. */
  readonly effect: readonly number[];
  /** Standard uncertainty of each effect; NaN where `u` is absent. */
  readonly effectU: readonly number[];
  /** Level at each position in mean units opened: its differences are the steps. */
  readonly level: readonly number[];
  /** Standard uncertainty of each level, same unit; NaN where `u` is absent. */
  readonly u: readonly number[];
}

/** `equal`: each unit takes off the same force. `equal-ratio`: the same share, as a bleed needle does. */
export type StepLaw = 'equal' | 'equal-ratio';

const found = new WeakMap<AdjusterSweep, Partial<Record<StepLaw, SweepLevels>>>();

/**
 * Projects a sweep on its own effect: w(v) is the slope of the value on position at each speed, the level of a position is the
 * least-squares share of w in it. All speeds speak, each with the weight of its effect, so noise where the adjuster does nothing
 * is kept out. Levels are NaN where opening softens at no speed. Found once for each law: whole effect, dead range and steps rest on them.
 */
export function levelsOfSweep(sweep: AdjusterSweep, law: StepLaw): SweepLevels {
  let ofSweep = found.get(sweep);
  if (ofSweep === undefined) found.set(sweep, (ofSweep = {}));
  return (ofSweep[law] ??= findLevels(sweep, law));
}

function findLevels(sweep: AdjusterSweep, law: StepLaw): SweepLevels {
  const value = sweep.damping.map((row) => row.map((force) => (law === 'equal' ? force : Math.log(force))));
  const meanPosition = mean(sweep.positions);
  const spread = sweep.positions.reduce((sum, p) => sum + (p - meanPosition) ** 2, 0);
  const means = sweep.speeds.map((_, k) => mean(value.map((row) => row[k]!)));
  const effect = sweep.speeds.map(
    (_, k) => -value.reduce((sum, row, i) => sum + (sweep.positions[i]! - meanPosition) * row[k]!, 0) / spread,
  );
  const relative = sweep.u?.map((row, i) => row.map((one, k) => (law === 'equal' ? one : one / sweep.damping[i]![k]!)));
  const effectU = sweep.speeds.map((_, k) => {
    if (relative === undefined) return NaN;
    return (
      Math.sqrt(relative.reduce((sum, row, i) => sum + ((sweep.positions[i]! - meanPosition) * row[k]!) ** 2, 0)) /
      spread
    );
  });
  const weight = effect.map((w) => Math.max(0, w));
  const norm = weight.reduce((sum, w) => sum + w * w, 0);
  const level = value.map((row) => -row.reduce((sum, y, k) => sum + weight[k]! * (y - means[k]!), 0) / norm);
  const u = value.map((_, i) => {
    if (relative === undefined) return NaN;
    return Math.sqrt(relative[i]!.reduce((sum, one, k) => sum + (weight[k]! * one) ** 2, 0)) / norm;
  });
  return { effect, effectU, level, u };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

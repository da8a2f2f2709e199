/** One entry of `test.velocities`, SI. */
export type PlannedVelocity = number | { readonly from: number; readonly to: number; readonly step: number };

const MOST_VELOCITIES = 1000;
/** Speeds closer than this are one [m/s]. */
const SAME_SPEED = 1e-7;

/**
 * Writes ranges out, sorts, and drops repeats. The last value of a range is `to` where the steps meet it.
 *
 * @returns speeds in m/s, rising; undefined where a range falls, its step is longer than itself, or there are too many
 */
export function expandVelocities(entries: readonly PlannedVelocity[]): number[] | undefined {
  const all: number[] = [];
  for (const entry of entries) {
    if (typeof entry === 'number') all.push(entry);
    else {
      const steps = Math.floor((entry.to - entry.from) / entry.step + 1e-6);
      if (!(steps >= 1 && steps < MOST_VELOCITIES)) return undefined;
      for (let step = 0; step <= steps; step++) all.push(Number((entry.from + step * entry.step).toPrecision(12)));
    }
    if (all.length > MOST_VELOCITIES) return undefined;
  }
  if (all.length === 0) return undefined;
  const sorted = all.sort((a, b) => a - b);
  return sorted.filter((speed, index) => index === 0 || speed - sorted[index - 1]! > SAME_SPEED);
}

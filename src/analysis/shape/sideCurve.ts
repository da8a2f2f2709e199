/** Damping force of one side over speed, by rising speed: only points that count. */
export interface SideCurve {
  /** [m/s], above 0. */
  readonly speeds: readonly number[];
  /** Magnitudes [N]. */
  readonly forces: readonly number[];
  /** 1 / variance up to a factor. */
  readonly weights: readonly number[];
  /** Standard uncertainties [N], 0 where not known. */
  readonly u: readonly number[];
}

/** Forces below this carry no more weight than this: noise does not vanish with the force [N]. */
export const WEIGHT_FLOOR = 20;

/**
 * @param speeds unsigned peak speeds [m/s], any order. @param damping as many magnitudes of damping force [N].
 * @param u as many standard uncertainties [N], where known.
 */
export function sideCurve(
  speeds: readonly number[],
  damping: readonly number[],
  u: readonly (number | undefined)[],
): SideCurve {
  const order: number[] = [];
  for (let i = 0; i < speeds.length; i++) if (speeds[i]! > 0 && Number.isFinite(damping[i])) order.push(i);
  if (!isRising(order, speeds)) order.sort((a, b) => speeds[a]! - speeds[b]!);
  const curve = { speeds: [], forces: [], weights: [], u: [] } as Record<keyof SideCurve, number[]>;
  for (const i of order) {
    const force = damping[i]!;
    curve.speeds.push(speeds[i]!);
    curve.forces.push(force);
    curve.weights.push(1 / Math.max(Math.abs(force), WEIGHT_FLOOR) ** 2);
    curve.u.push(u[i] ?? 0);
  }
  return curve;
}

function isRising(order: readonly number[], speeds: readonly number[]): boolean {
  for (let at = 1; at < order.length; at++) if (speeds[order[at]!]! < speeds[order[at - 1]!]!) return false;
  return true;
}

/** Speeds that differ. */
export function distinctSpeeds({ speeds }: SideCurve): number {
  let distinct = 0;
  for (let i = 0; i < speeds.length; i++) if (i === 0 || speeds[i]! > speeds[i - 1]!) distinct++;
  return distinct;
}

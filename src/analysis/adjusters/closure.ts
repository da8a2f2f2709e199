export interface Closure {
  readonly closed: boolean;
  /** Mean over the speeds of the second run of the setting less the first, as a share of the first; positive where it is harder now. */
  readonly share: number;
  /** Expanded uncertainty of such a difference, mean over the speeds, as a share. */
  readonly U: number;
}

/** One speed of a setting that was run twice. Magnitudes of damping force and their expanded uncertainties [N]. */
export interface RepeatedPoint {
  readonly first: number;
  readonly second: number;
  readonly firstU: number;
  readonly secondU: number;
}

/**
 * Whether a setting comes back as it was. The mean signed difference over the speeds is held against the mean expanded uncertainty of a
 * difference: scatter between speeds cancels, heat does not, and since the uncertainty is not divided by the number of speeds, what all
 * speeds share (load cell, gas) stays in it.
 *
 * @returns undefined without points, or where they state no uncertainty.
 */
export function closureOf(points: readonly RepeatedPoint[]): Closure | undefined {
  if (points.length === 0) return undefined;
  const mean = (pick: (point: RepeatedPoint) => number): number =>
    points.reduce((sum, point) => sum + pick(point), 0) / points.length;
  const share = mean((p) => (p.second - p.first) / p.first);
  const U = mean((p) => Math.hypot(p.firstU, p.secondU) / p.first);
  return Number.isFinite(U) ? { closed: Math.abs(share) <= U, share, U } : undefined;
}

/** How near an achieved peak speed must be to stand for a planned one: 3 % or 5 mm/s, whichever is more. */
const RELATIVE = 0.03;
const ABSOLUTE = 0.005;
/** Steps this close are one speed run again; further apart they are two steps of which only the nearer can be the planned one. */
const SAME_SPEED = 0.025;
/** Rounding of a speed in a file must not decide whether it matches. */
const ROUNDING = 1e-9;

/** Whether speed `a` may stand for speed `b` [m/s]. */
export function speedMatches(a: number, b: number): boolean {
  return Math.abs(a - b) <= Math.max(RELATIVE * b, ABSOLUTE) + ROUNDING;
}

/** Widest distance at which a speed still counts as `b` [m/s]. */
export function speedMargin(b: number): number {
  return Math.max(RELATIVE * b, ABSOLUTE) + ROUNDING;
}

/**
 * Planned speed of each achieved one of a single setting; undefined where none is near. A planned speed goes to the step nearest to it and
 * to repeats of that step; another step that also lies within reach keeps its own speed.
 *
 * @param achieved peak speeds, unsigned [m/s], any order. @param planned [m/s]
 */
export function matchPlanned(achieved: readonly number[], planned: readonly number[]): readonly (number | undefined)[] {
  const nearest = achieved.map((speed) => {
    let best: number | undefined;
    for (const plan of planned)
      if (speedMatches(speed, plan) && (best === undefined || Math.abs(speed - plan) < Math.abs(speed - best)))
        best = plan;
    return best;
  });
  const winners = new Map<number, number>();
  nearest.forEach((plan, i) => {
    if (plan === undefined) return;
    const winner = winners.get(plan);
    if (winner === undefined || Math.abs(achieved[i]! - plan) < Math.abs(winner - plan))
      winners.set(plan, achieved[i]!);
  });
  return nearest.map((plan, i) => {
    if (plan === undefined) return undefined;
    const winner = winners.get(plan)!;
    const speed = achieved[i]!;
    return Math.abs(speed - winner) <= Math.max(SAME_SPEED * winner, ABSOLUTE / 2) + ROUNDING ? plan : undefined;
  });
}

const RATIO = (Math.sqrt(5) - 1) / 2;
/** Narrow the interval to 4e-9 of its width. */
const STEPS = 40;

/**
 * Place of the lowest value of a function that has one dip between `from` and `to`, by golden-section search (Kiefer, Proc. AMS 4
 * (1953) 502). Every step narrows the interval to 0.618 of its width.
 */
export function goldenSection(cost: (at: number) => number, from: number, to: number, steps = STEPS): number {
  let low = from;
  let high = to;
  let left = high - RATIO * (high - low);
  let right = low + RATIO * (high - low);
  let costLeft = cost(left);
  let costRight = cost(right);
  for (let i = 0; i < steps; i++) {
    if (costLeft < costRight) {
      high = right;
      right = left;
      costRight = costLeft;
      left = high - RATIO * (high - low);
      costLeft = cost(left);
    } else {
      low = left;
      left = right;
      costLeft = costRight;
      right = low + RATIO * (high - low);
      costRight = cost(right);
    }
  }
  return (low + high) / 2;
}

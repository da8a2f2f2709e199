/** ln(1 + exp(x)) without overflow. Beyond 37 to either side the smaller part is below the last digit of a double. */
export function softPlus(x: number): number {
  if (x > 37) return x;
  if (x < -37) return Math.exp(x);
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x));
}

/** Nodes of the table a unit, and how far it reaches. */
const NODES = 16;
const REACH = 20;
/** ln(1 + exp(-x)) is smaller than ROUGH_ERROR beyond this. */
export const NOTHING_BEYOND = 19;

/** How far `roughSoftPlus` may be off: the fourth derivative, at most 1/8, over half a cell; and what is left out far out. */
export const ROUGH_ERROR = 6e-9;

/** Of ln(1 + exp(-x)) at x = 0, 1/16, ... 20: value, slope, half of the second and a sixth of the third derivative. */
const TAYLOR = taylorOfTail();

/** ln(1 + exp(x)) within 6e-9: Taylor's polynomial of third degree about the nearest node of a table, in a fifth of the time. */
export function roughSoftPlus(x: number): number {
  const size = x < 0 ? -x : x;
  const whole = x < 0 ? 0 : x;
  if (!(size < NOTHING_BEYOND)) return whole;
  const node = (size * NODES + 0.5) | 0;
  const off = size - node / NODES;
  const at = 4 * node;
  return whole + TAYLOR[at]! + off * (TAYLOR[at + 1]! + off * (TAYLOR[at + 2]! + off * TAYLOR[at + 3]!));
}

function taylorOfTail(): Float64Array {
  const terms = new Float64Array(4 * (NODES * REACH + 1));
  for (let node = 0; node <= NODES * REACH; node++) {
    const fall = Math.exp(-node / NODES);
    const share = fall / (1 + fall);
    terms[4 * node] = Math.log1p(fall);
    terms[4 * node + 1] = -share;
    terms[4 * node + 2] = (share * (1 - share)) / 2;
    terms[4 * node + 3] = (-share * (1 - share) * (1 - 2 * share)) / 6;
  }
  return terms;
}

/** A repeatable source of random numbers: the same seed gives the same numbers on every machine. */
export interface RandomSource {
  /** Uniform in [0, 1), 32 bits of resolution. */
  next(): number;
  uniform(from: number, to: number): number;
  /** Whole number from `from` to `to`, both included. */
  integer(from: number, to: number): number;
  /** Standard normal. */
  normal(): number;
  chance(probability: number): boolean;
  pick<T>(choices: readonly T[]): T;
}

/**
 * xoshiro128** (D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", 2021), its four words of state filled from
 * the seed by a 32-bit Weyl sequence through a finaliser of MurmurHash3's form. Normals by Marsaglia's polar method.
 */
export function createRandom(seed: number): RandomSource {
  const state = seededState(seed);
  let spare: number | undefined;

  const next = (): number => {
    const result = Math.imul(rotateLeft(Math.imul(state[1]!, 5), 7), 9);
    const shifted = state[1]! << 9;
    state[2]! ^= state[0]!;
    state[3]! ^= state[1]!;
    state[1]! ^= state[2]!;
    state[0]! ^= state[3]!;
    state[2]! ^= shifted;
    state[3] = rotateLeft(state[3]!, 11);
    return (result >>> 0) / 4_294_967_296;
  };

  const normal = (): number => {
    if (spare !== undefined) {
      const value = spare;
      spare = undefined;
      return value;
    }
    for (;;) {
      const u = 2 * next() - 1;
      const w = 2 * next() - 1;
      const s = u * u + w * w;
      if (s > 0 && s < 1) {
        const scale = Math.sqrt((-2 * Math.log(s)) / s);
        spare = w * scale;
        return u * scale;
      }
    }
  };

  return {
    next,
    normal,
    uniform: (from, to) => from + (to - from) * next(),
    integer: (from, to) => from + Math.floor((to - from + 1) * next()),
    chance: (probability) => next() < probability,
    pick: (choices) => choices[Math.floor(choices.length * next())]!,
  };
}

function seededState(seed: number): Int32Array {
  const state = new Int32Array(4);
  let weyl = seed | 0;
  for (let i = 0; i < 4; i++) {
    weyl = (weyl + 0x9e3779b9) | 0;
    let word = Math.imul(weyl ^ (weyl >>> 16), 0x85ebca6b);
    word = Math.imul(word ^ (word >>> 13), 0xc2b2ae35);
    state[i] = word ^ (word >>> 16);
  }
  if (state.every((word) => word === 0)) state[0] = 1;
  return state;
}

function rotateLeft(word: number, bits: number): number {
  return (word << bits) | (word >>> (32 - bits));
}

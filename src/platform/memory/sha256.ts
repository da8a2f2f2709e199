import type { Digest } from '../../ports/services';

/**
 * SHA-256 (FIPS 180-4, sections 4.1.2, 5.3.3 and 6.2) without a platform's help: for browsers, whose own digest
 * cannot be fed piece by piece, and for tests.
 */
class Sha256 {
  readonly #state = Uint32Array.of(
    0x6a09e667,
    0xbb67ae85,
    0x3c6ef372,
    0xa54ff53a,
    0x510e527f,
    0x9b05688c,
    0x1f83d9ab,
    0x5be0cd19,
  );
  readonly #block = new Uint8Array(64);
  readonly #words = new Int32Array(64);
  #filled = 0;
  #length = 0;

  update(bytes: Uint8Array): void {
    this.#length += bytes.length;
    for (let at = 0; at < bytes.length;) {
      const taken = Math.min(64 - this.#filled, bytes.length - at);
      this.#block.set(bytes.subarray(at, at + taken), this.#filled);
      this.#filled += taken;
      at += taken;
      if (this.#filled === 64) this.#compress();
    }
  }

  hex(): string {
    const bits = this.#length * 8;
    const padding = new Uint8Array(this.#filled < 56 ? 64 - this.#filled : 128 - this.#filled);
    padding[0] = 0x80;
    const view = new DataView(padding.buffer);
    view.setUint32(padding.length - 8, Math.floor(bits / 2 ** 32));
    view.setUint32(padding.length - 4, bits % 2 ** 32);
    this.update(padding);
    return Array.from(this.#state, (word) => word.toString(16).padStart(8, '0')).join('');
  }

  #compress(): void {
    const words = this.#words;
    const view = new DataView(this.#block.buffer);
    for (let i = 0; i < 16; i++) words[i] = view.getInt32(i * 4);
    for (let i = 16; i < 64; i++) {
      const early = words[i - 15]!;
      const late = words[i - 2]!;
      const small0 = turn(early, 7) ^ turn(early, 18) ^ (early >>> 3);
      const small1 = turn(late, 17) ^ turn(late, 19) ^ (late >>> 10);
      words[i] = (words[i - 16]! + small0 + words[i - 7]! + small1) | 0;
    }
    let [a, b, c, d, e, f, g, h] = this.#state as unknown as [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    for (let i = 0; i < 64; i++) {
      const big1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
      const first = (h + big1 + ((e & f) ^ (~e & g)) + ROUND[i]! + words[i]!) | 0;
      const big0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
      const second = (big0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
    }
    const sum = [a, b, c, d, e, f, g, h];
    for (let i = 0; i < 8; i++) this.#state[i] = this.#state[i]! + sum[i]!;
    this.#filled = 0;
  }
}

function turn(word: number, by: number): number {
  return (word >>> by) | (word << (32 - by));
}

/** The first 32 bits of the fractional parts of the cube roots of the first 64 primes, computed in whole numbers. */
const ROUND = roundConstants();

function roundConstants(): Int32Array {
  const constants = new Int32Array(64);
  for (let candidate = 2, found = 0; found < 64; candidate++) {
    let prime = true;
    for (let divisor = 2; divisor * divisor <= candidate; divisor++) if (candidate % divisor === 0) prime = false;
    if (!prime) continue;
    constants[found] = Number(BigInt.asIntN(32, cubeRoot(BigInt(candidate) << 96n)));
    found += 1;
  }
  return constants;
}

/** Largest whole number whose cube does not exceed `value`. */
function cubeRoot(value: bigint): bigint {
  let low = 0n;
  let high = 1n << 40n;
  while (low < high) {
    const middle = (low + high + 1n) >> 1n;
    if (middle * middle * middle <= value) low = middle;
    else high = middle - 1n;
  }
  return low;
}

/** The digest port in plain TypeScript. */
export const portableDigest: Digest = {
  sha256(bytes) {
    const hash = new Sha256();
    hash.update(bytes);
    return Promise.resolve(hash.hex());
  },
  begin() {
    const hash = new Sha256();
    return {
      update: (bytes) => {
        hash.update(bytes);
      },
      hex: () => Promise.resolve(hash.hex()),
    };
  },
};

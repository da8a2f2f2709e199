import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { deepEqual } from '../../src/session/deepEqual';
import { decodePlain, encodePlain } from '../../src/session/plainCodec';
import { thorough } from '../thorough';

const RUNS = thorough ? 5000 : 200;
const plain = fc.letrec<{ value: unknown }>((tie) => ({
  value: fc.oneof(
    { maxDepth: 4 },
    fc.double(),
    fc.integer(),
    fc.string({ unit: 'binary' }),
    fc.boolean(),
    fc.constant(null),
    fc.float64Array({ maxLength: 20 }),
    fc.array(tie('value'), { maxLength: 5 }),
    fc.dictionary(
      fc.string().filter((key) => key !== '$' && key !== '__proto__'),
      tie('value'),
      { maxKeys: 5, noNullPrototype: true },
    ),
  ),
})).value;

describe('plain data as bytes', () => {
  it('come back bit for bit', () => {
    fc.assert(
      fc.property(plain, (value) => {
        expect(decodePlain(encodePlain(value))).toStrictEqual(value);
      }),
      { numRuns: RUNS, seed: 20 },
    );
    const special = { a: [NaN, Infinity, -Infinity, -0, 0, 5e-324, 1 / 3], b: Float64Array.of(NaN, -0, 1 / 3) };
    const back = decodePlain(encodePlain(special)) as typeof special;
    expect(back).toStrictEqual(special);
    expect(Object.is(back.a[3], -0)).toBe(true);
    expect(Object.is(back.b[1], -0)).toBe(true);
  });

  it('leave out what is undefined, and refuse what is not plain', () => {
    expect(decodePlain(encodePlain({ a: undefined, b: 1 }))).toStrictEqual({ b: 1 });
    for (const value of [() => 1, new Map(), new Date(0), { $: 1 }, 1n, Symbol('x'), new Float32Array(1)]) {
      expect(() => encodePlain(value)).toThrow(TypeError);
    }
  });

  it('are known to be damaged when cut, lengthened or of another kind', () => {
    const bytes = encodePlain({ a: Float64Array.of(1, 2, 3), b: 'text' });
    for (let length = 0; length < bytes.length; length++) expect(() => decodePlain(bytes.slice(0, length))).toThrow();
    expect(() => decodePlain(Uint8Array.of(...bytes, 0))).toThrow();
    const other = bytes.slice();
    other[0]! ^= 1;
    expect(() => decodePlain(other)).toThrow();
  });

  it('decode from the middle of a larger buffer', () => {
    const bytes = encodePlain([Float64Array.of(1.5)]);
    const shifted = new Uint8Array(bytes.length + 3);
    shifted.set(bytes, 3);
    expect(decodePlain(shifted.subarray(3))).toStrictEqual([Float64Array.of(1.5)]);
  });
});

describe('comparing values', () => {
  it('agrees with a copy and sees any one change', () => {
    fc.assert(
      fc.property(plain, plain, (a, b) => {
        expect(deepEqual(a, structuredClone(a))).toBe(true);
        if (deepEqual(a, b)) expect(encodePlain(a)).toStrictEqual(encodePlain(b));
      }),
      { numRuns: RUNS, seed: 21 },
    );
    expect(deepEqual({ a: 1, line: 3 }, { a: 1, line: 4 })).toBe(false);
    expect(deepEqual({ a: 1, line: 3 }, { a: 1, line: 4 }, new Set(['line']))).toBe(true);
    expect(deepEqual({ a: [1, { line: 3 }] }, { a: [1, {}] }, new Set(['line']))).toBe(true);
    expect(deepEqual({ a: undefined }, {})).toBe(true);
    expect(deepEqual([], {})).toBe(false);
    expect(deepEqual(new Map([['a', 1]]), new Map([['a', 2]]))).toBe(false);
    expect(deepEqual(Float64Array.of(NaN), Float64Array.of(NaN))).toBe(true);
    expect(deepEqual(0, -0)).toBe(false);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { list, map, optional, validated, type Part, type TextValue } from '../../../src/files/schema/parts';
import { referenceKeys, resultKeys } from '../../../src/files/schema/preambleSchema';
import { identity, text } from '../../../src/files/schema/scalarParts';
import { thorough } from '../../thorough';

/** A value read without the validator must be what the validator makes of it, and nothing where the validator finds a fault. */

const numRuns = thorough ? 30_000 : 1500;
const SHA = '0123456789abcdef'.repeat(4);
const words =
  `1|2|0|9999|10000|007| 5 |1.5|-1|1e3|true|yes|no|false|Yes|sine|triangle|mounted|unknown|body|oil|fit|stated|50 mm|50mm|0 mm|-1 mm|5 N|-380.5 N|1e400 N|30.9 Cel
-300 Cel|0 K|5 furlong|5|5,5 mm|2026-03-14|2026-02-29|2024-02-29|2026-03-14T10:22:00Z|2026-03-14 10:22|2026-03-14T25:00Z|a/b.csv|../a|a/../b|/a|C:a|a\\b|con|a.|.|${SHA}|${SHA.toUpperCase()}|${SHA}0
larch|<b>|\u202e|\u0007||  |${'x'.repeat(100)}|${'x'.repeat(101)}|${'x'.repeat(501)}|__proto__|constructor`.split(
    /[|\n]/,
  );
const word = fc.oneof({ weight: 8, arbitrary: fc.constantFrom(...words) }, { weight: 1, arbitrary: fc.string() });
const key = fc.constantFrom(
  ...'force temperature source path sha256 spec mapping bench of reason from on __proto__ colour'.split(' '),
);
const { value } = fc.letrec<{ value: TextValue }>((tie) => ({
  value: fc.oneof(
    { maxDepth: 3 },
    word,
    fc.array(tie('value'), { maxLength: 3 }),
    fc
      .array(fc.tuple(key, tie('value')), { maxLength: 3 })
      .map((entries) => Object.assign(Object.create(null) as Record<string, TextValue>, Object.fromEntries(entries))),
    fc.record({ path: fc.constantFrom('a.csv', '../a'), sha256: fc.constantFrom(SHA, 'a') }),
    fc.record(
      { force: fc.oneof(word, fc.constant('5 N')), source: fc.constantFrom('fit', 'no') },
      { requiredKeys: ['force'] },
    ),
    fc.record({ from: word, on: fc.constantFrom('2026-03-14', 'no') }, { requiredKeys: ['from'] }),
  ),
}));

describe('a value', () => {
  const keys = { ...referenceKeys, ...resultKeys };
  it.each(Object.entries<Part>(keys))('of %s is read as the validator reads it', (_, { schema, read }) => {
    let good = 0;
    fc.assert(
      fc.property(fc.oneof(word, value), (written) => {
        const checked = schema().safeParse(written);
        if (checked.success) good++;
        const meaning = read(written);
        expect(meaning).toStrictEqual(checked.success ? checked.data : undefined);
        expect(JSON.stringify(meaning)).toBe(JSON.stringify(checked.data)); // keys in the same order
      }),
      { numRuns: numRuns, seed: 20261125 },
    );
    expect(good).toBeGreaterThan(0);
  });

  it('of a schema that tells no reader is left to the validator', () => {
    const even = validated(() => z.array(z.string()).refine((list) => list.length % 2 === 0));
    expect(even.read(['a'])).toBeUndefined();
    expect(even.read(['a', 'b'])).toEqual(['a', 'b']);
  });

  it('of a map or a list is read only where all of it is in order', () => {
    const both = map({ a: text('A text.'), b: optional(identity('A name.')) });
    expect(both.read({ a: 'x' })).toEqual({ a: 'x' });
    expect(both.read({ a: 'x', b: '<' })).toBeUndefined();
    expect(both.read({ a: 'x', c: 'y' })).toBeUndefined();
    expect(both.read({ b: 'y' })).toBeUndefined();
    expect(list(both).read([{ a: 'x' }, { a: 'y', b: 'z' }])).toEqual([{ a: 'x' }, { a: 'y', b: 'z' }]);
    expect(list(both).read([{ a: 'x' }, {}])).toBeUndefined();
    expect(list(both).read({ a: 'x' })).toBeUndefined();
  });
});

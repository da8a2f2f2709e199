import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { referencePreamble, resultPreamble } from '../../../src/files/schema/preambleSchema';
import { identity } from '../../../src/files/schema/scalars';
import { readBy, valueReader } from '../../../src/files/schema/textReaders';
import type { TextValue } from '../../../src/files/schema/textReaders';

/** A value read without the validator must be what the validator makes of it, and nothing where the validator finds a fault. */

const numRuns = process.env['DAMPER_THOROUGH'] === '1' ? 30_000 : 1500;
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
  const keys = { ...referencePreamble.shape, ...resultPreamble.shape };
  it.each(Object.entries<z.ZodType>(keys))('of %s is read as the validator reads it', (_, schema) => {
    const read = valueReader(schema);
    let good = 0;
    fc.assert(
      fc.property(fc.oneof(word, value), (written) => {
        const checked = schema.safeParse(written);
        if (checked.success) good++;
        const meaning = read(written);
        expect(meaning).toStrictEqual(checked.success ? checked.data : undefined);
        expect(JSON.stringify(meaning)).toBe(JSON.stringify(checked.data)); // keys in the same order
      }),
      { numRuns: numRuns, seed: 20261125 },
    );
    expect(good).toBeGreaterThan(0);
  });

  it('of a schema with rules of its own is left to the validator', () => {
    const text = readBy(z.string(), (written) => written);
    const even = z.array(text).superRefine((list, context) => {
      if (list.length % 2 === 1) context.addIssue('odd');
    });
    const both = z.strictObject({ a: text, b: text.optional() }).refine(({ a, b }) => a !== b);
    expect(valueReader(even)(['a'])).toBeUndefined();
    expect(valueReader(even)(['a', 'b'])).toEqual(['a', 'b']);
    expect(valueReader(both)({ a: 'x', b: 'x' })).toBeUndefined();
    expect(valueReader(both)({ a: 'x' })).toEqual({ a: 'x' });
    expect(valueReader(z.object({ a: text }))({ a: 'x', b: 'y' })).toEqual({ a: 'x' });
    expect(valueReader(identity('a name').optional())('<')).toBeUndefined();
  });
});

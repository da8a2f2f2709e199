import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { jsonParts, ListInParts } from '../../src/text/jsonParts';

describe('a document of JSON in parts', () => {
  it('is the text of the whole, with a line end', () => {
    const document = fc.dictionary(fc.string(), fc.oneof(fc.jsonValue(), fc.constant(undefined)), { maxKeys: 4 });
    fc.assert(
      fc.property(document, fc.array(fc.jsonValue()), (values, items) => {
        const text = [...jsonParts({ ...values, list: new ListInParts(items, (item) => [item]), last: 1 })].join('');
        const whole = { ...values, list: items.map((item) => [item]), last: 1 };
        expect(text).toBe(`${JSON.stringify(whole, undefined, 2)}\n`);
      }),
      { numRuns: 300, seed: 20261126 },
    );
    expect([...jsonParts({})].join('')).toBe('{}\n');
  });

  it('makes an entry when the one before has been taken', () => {
    const made: number[] = [];
    const list = new ListInParts([1, 2, 3], (item) => made.push(item));
    const parts = jsonParts({ list });
    parts.next();
    expect(made).toEqual([1]);
    parts.next();
    expect(made).toEqual([1, 2]);
  });
});

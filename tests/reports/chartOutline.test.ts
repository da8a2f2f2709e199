import { describe, expect, it } from 'vitest';
import { outlineOf } from '../../src/reports/chartOutline';

const line = { mark: 'line', encoding: { x: { field: 'v', axis: { values: [1, 2] } } } };

describe('the outline of a chart', () => {
  it('names each list of rows, and lists that say the same once', () => {
    const [a, b] = [[{ v: 1 }], [{ v: 2 }, { v: 3 }]];
    const { spec, rows } = outlineOf({
      vconcat: [
        { data: { values: a }, ...line },
        { layer: [{ data: { values: b } }, { data: { values: [{ v: 1 }] } }] },
      ],
    });
    expect(spec).toEqual({
      vconcat: [
        { data: { name: 'rows_0', values: [] }, ...line },
        { layer: [{ data: { name: 'rows_1', values: [] } }, { data: { name: 'rows_0', values: [] } }] },
      ],
    });
    expect([...rows]).toEqual([
      ['rows_0', a],
      ['rows_1', b],
    ]);
  });

  it('is the same for other rows, and another where two lists stop saying the same', () => {
    const keyOf = (first: number, second: number): string =>
      outlineOf({ layer: [first, second].map((v) => ({ data: { values: [{ v }] } })) }).key;
    expect(keyOf(1, 2)).toBe(keyOf(3, 4));
    expect(keyOf(1, 1)).not.toBe(keyOf(1, 2));
  });

  it('leaves named data, data from elsewhere and values that are no rows', () => {
    const chart = {
      layer: [{ data: { url: 'x.json' } }, { data: { name: 'own', values: [{ v: 1 }] } }, { data: { values: [1, 2] } }],
    };
    expect(outlineOf(chart)).toEqual({ spec: chart, key: JSON.stringify(chart), rows: new Map() });
  });
});

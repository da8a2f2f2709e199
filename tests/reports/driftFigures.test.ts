import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pointRows, rowsBySetting, signedShare, type PointRow } from '../../src/reports/driftFigures';
import type { JudgedPoint } from '../../src/review/judgedResult';
import { failing } from './fixtures/outcomes';

const point = failing.points[0]!;
/** Settings that are equal without being one object, and one that names its adjusters the other way round. */
const settings = [{ LSC: 8, R: 6 }, { LSC: 8, R: 6 }, { R: 6, LSC: 8 }, { LSC: 8, R: 0 }, {}];

const points: fc.Arbitrary<JudgedPoint[]> = fc
  .array(
    fc.record({
      setting: fc.constantFrom(...settings),
      velocity: fc.constantFrom(0.1, 0.3, 0.30000000000000004, 1),
      pass: fc.constantFrom(1, 2),
      side: fc.constantFrom('compression', 'rebound'),
      force: fc.constantFrom(100, 200, NaN),
    }),
    { maxLength: 30 },
  )
  .map((changes) => changes.map((change, row) => ({ ...point, ...change, row })));

/** One text for points of one row. */
const nameOf = (p: PointRow): string => `${JSON.stringify(Object.entries(p.setting).sort())} ${p.velocity} ${p.pass}`;

describe('rows of points', () => {
  it('are one a setting, speed and pass in the order of their first points, in whatever order points come', () => {
    fc.assert(
      fc.property(points, (given) => {
        const drawn = given.filter(({ force }) => Number.isFinite(force));
        const names = [...new Set(drawn.map(nameOf))];
        const rows = pointRows(given);
        expect(rows.map(nameOf)).toEqual(names);
        for (const row of rows)
          for (const side of ['compression', 'rebound'] as const)
            expect(row[side]).toBe(drawn.filter((p) => p.side === side && nameOf(p) === nameOf(row)).at(-1));
      }),
      { seed: 5, numRuns: 500 },
    );
  });

  it('stand by setting, that of the worst point first, by speed and pass', () => {
    fc.assert(
      fc.property(points, fc.nat(29), (given, worst) => {
        const shown = rowsBySetting({ ...failing, points: given, worst });
        const all = shown.flatMap(({ rows }) => rows);
        expect(all.map(nameOf).sort()).toEqual(pointRows(given).map(nameOf).sort());
        for (const { setting, rows } of shown) {
          for (const row of rows) expect(row.setting).toEqual(setting);
          const order = rows.map(({ velocity, pass }) => [velocity, pass] as const);
          expect(order).toEqual([...order].sort((a, b) => a[0] - b[0] || a[1] - b[1]));
        }
        const first = given[worst]?.setting;
        if (shown.some(({ setting }) => same(setting, first))) expect(shown[0]!.setting).toEqual(first);
        expect(new Set(shown.map(({ setting }) => JSON.stringify(Object.entries(setting).sort()))).size).toBe(
          shown.length,
        );
      }),
      { seed: 6, numRuns: 500 },
    );
  });

  it('have a share with its sign, none where it is nothing', () => {
    const shown = (share: number | undefined, direction?: 'harder' | 'softer') =>
      signedShare({ ...point, share, direction } as JudgedPoint);
    expect(shown(1.34, 'softer')).toBe('-134');
    expect(shown(0.961, 'harder')).toBe('+96');
    expect(shown(1.004, 'harder')).toBe('+100.4');
    expect(shown(0.9999, 'softer')).toBe('-99.99');
    expect(shown(0.004, 'softer')).toBe('0');
    expect(shown(0)).toBe('0');
    expect(shown(Infinity, 'softer')).toBeUndefined();
    expect(shown(undefined)).toBeUndefined();
  });
});

function same(a: object, b: object | undefined): boolean {
  return b !== undefined && JSON.stringify(Object.entries(a).sort()) === JSON.stringify(Object.entries(b).sort());
}

import { describe, expect, it } from 'vitest';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import { pairRows, type PairedRows } from '../../src/review/pairedRows';
import { speedMatches } from '../../src/review/plannedVelocity';
import { settingKey, settingOfRow, settingsOfTable } from '../../src/review/referenceCurves';
import { createRandom, type RandomSource } from '../simulator/random';
import { thorough } from '../thorough';

const row = (setting: readonly number[], velocity: number, pass = 1): ForceRow => ({
  line: 0,
  setting,
  pass,
  velocity,
  compression: 100,
  rebound: -100,
});

const table = (rows: readonly ForceRow[], ids: readonly string[] = ['C', 'R']): ForceTable => ({
  file: 'x.result.csv',
  kind: 'result',
  formatVersion: 1,
  spec: 'alder-front',
  headerLine: 1,
  adjusters: ids.map((id) => ({ id, unit: 'click' })),
  rows,
  basis: {},
});

describe('settings of a table', () => {
  it('are there once each in the order of their first rows, however the rows lie', () => {
    const rows = [row([1, 2], 0.1), row([3, 2], 0.1), row([1, 2], 0.2), row([1, 2], 0.3), row([3, 2], 0.2)];
    const { all, ofRows } = settingsOfTable(table(rows));
    expect(all.map(({ setting }) => setting)).toEqual([
      { C: 1, R: 2 },
      { C: 3, R: 2 },
    ]);
    expect(all.map((group) => group.rows.map((one) => rows.indexOf(one)))).toEqual([
      [0, 2, 3],
      [1, 4],
    ]);
    expect(ofRows.map((group) => all.indexOf(group))).toEqual([0, 1, 0, 0, 1]);
  });

  it('leave out positions that are not known, and hold together rows that lack the same', () => {
    const { all } = settingsOfTable(table([row([1, NaN], 0.1), row([1, NaN], 0.2), row([1], 0.3), row([NaN, 1], 0.1)]));
    expect(all.map(({ setting, rows }) => [setting, rows.length])).toEqual([
      [{ C: 1 }, 3],
      [{ R: 1 }, 1],
    ]);
  });

  it('take a hostile id for a name like any other', () => {
    const { all } = settingsOfTable(table([row([1, 2], 0.1), row([5, 2], 0.1)], ['__proto__', 'R']));
    expect(all.map(({ setting }) => Object.entries(setting))).toEqual([
      [
        ['__proto__', 1],
        ['R', 2],
      ],
      [
        ['__proto__', 5],
        ['R', 2],
      ],
    ]);
    expect(Object.getPrototypeOf(all[0]!.setting)).toBe(Object.prototype);
  });

  it('have one name whatever the order of their adjusters', () => {
    expect(settingKey({ R: 2, C: 1 })).toBe(settingKey({ C: 1, R: 2 }));
    expect(new Set([{}, { R: 2 }, { R: 1 }, { C: 2 }, { C: 1, R: 2 }].map(settingKey)).size).toBe(5);
  });
});

describe('rows of two tables', () => {
  it('are paired as a search through all of them pairs them', () => {
    const random = createRandom(193);
    let pairs = 0;
    for (let i = 0; i < (thorough ? 5000 : 300); i++) {
      const [a, b] = [randomTable(random), randomTable(random)];
      const found = pairRows(a, b);
      pairs += found.a.length;
      expect(sorted(found)).toEqual(sorted(searched(a, b)));
    }
    expect(pairs).toBeGreaterThan(1000);
  });

  it('are paired by their order where both were run by one plan, rows that repeat too', () => {
    const random = createRandom(194);
    for (let i = 0; i < 100; i++) {
      const a = randomTable(random);
      const b = { ...a, rows: a.rows.map((one) => ({ ...one, compression: 90 })) };
      const found = pairRows(a, b);
      expect(found).toEqual({ ...searched(a, b), b: a.rows.map((_, j) => j), onlyA: [], onlyB: [] });
      const turned = table(
        a.rows.map(({ velocity, setting }) => row([...setting].reverse(), velocity)),
        ['R', 'C'],
      );
      const other = table(a.rows.map(({ velocity, setting }) => row(setting, velocity)));
      expect(sorted(pairRows(other, turned))).toEqual(sorted(searched(other, turned)));
    }
  });
});

/** By the definition: of the rows not used yet of equal setting and pass, the nearest in speed within reach, the first of equals. */
function searched(a: ForceTable, b: ForceTable): PairedRows {
  const free = b.rows.map((_, j) => j);
  const pairs: { a: number[]; b: number[]; onlyA: number[] } = { a: [], b: [], onlyA: [] };
  a.rows.forEach((rowA, i) => {
    const near = free.filter((j) => {
      const rowB = b.rows[j]!;
      return (
        rowB.pass === rowA.pass &&
        settingKey(settingOfRow(a, rowA)) === settingKey(settingOfRow(b, rowB)) &&
        speedMatches(rowB.velocity, rowA.velocity)
      );
    });
    const distance = (j: number): number => Math.abs(b.rows[j]!.velocity - rowA.velocity);
    const least = Math.min(...near.map(distance));
    const found = near.find((j) => distance(j) === least);
    if (found === undefined) pairs.onlyA.push(i);
    else {
      pairs.a.push(i);
      pairs.b.push(found);
      free.splice(free.indexOf(found), 1);
    }
  });
  return { ...pairs, onlyB: free };
}

/** Rows of the second table alone come setting by setting. */
function sorted({ a, b, onlyA, onlyB }: PairedRows): PairedRows {
  return { a, b, onlyA, onlyB: [...onlyB].sort((x, y) => x - y) };
}

/** Few settings, passes and speeds, so that rows repeat, lie close together and stand in any order. */
function randomTable(random: RandomSource): ForceTable {
  const rows = Array.from({ length: random.integer(0, 40) }, () =>
    row(
      [random.integer(0, 1), random.integer(3, 4)],
      random.integer(1, 6) * 0.05 + random.integer(-2, 2) * 0.003,
      random.integer(1, 2),
    ),
  );
  return table(rows);
}

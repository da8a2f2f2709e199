import { describe, expect, it } from 'vitest';
import type { ForceRow, ForceTable } from '../../src/files/forceTable';
import { pairRows } from '../../src/review/pairedRows';
import { speedMatches } from '../../src/review/plannedVelocity';
import { settingKey, settingOfRow, settingsOfTable } from '../../src/review/referenceCurves';
import { createRandom, type RandomSource } from '../simulator/random';

const THOROUGH = process.env['DAMPER_THOROUGH'] === '1';

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
    for (let i = 0; i < (THOROUGH ? 5000 : 300); i++) {
      const [a, b] = [randomTable(random), randomTable(random)];
      const found = pairRows(a, b);
      pairs += found.both.length;
      expect(indices(a, b, found)).toEqual(indices(a, b, searched(a, b)));
      for (const { rowA, setting } of found.both) expect(setting).toBe(settingKey(settingOfRow(a, rowA)));
    }
    expect(pairs).toBeGreaterThan(1000);
  });
});

type Pairs = Pick<ReturnType<typeof pairRows>, 'onlyA' | 'onlyB'> & {
  readonly both: readonly { readonly rowA: ForceRow; readonly rowB: ForceRow }[];
};

/** By the definition: of the rows not used yet of equal setting and pass, the nearest in speed within reach, the first of equals. */
function searched(a: ForceTable, b: ForceTable): Pairs {
  const free = [...b.rows];
  const both: { rowA: ForceRow; rowB: ForceRow }[] = [];
  const onlyA: ForceRow[] = [];
  for (const rowA of a.rows) {
    const near = free.filter(
      (rowB) =>
        rowB.pass === rowA.pass &&
        settingKey(settingOfRow(a, rowA)) === settingKey(settingOfRow(b, rowB)) &&
        speedMatches(rowB.velocity, rowA.velocity),
    );
    const least = Math.min(...near.map((rowB) => Math.abs(rowB.velocity - rowA.velocity)));
    const rowB = near.find((one) => Math.abs(one.velocity - rowA.velocity) === least);
    if (rowB === undefined) onlyA.push(rowA);
    else {
      both.push({ rowA, rowB });
      free.splice(free.indexOf(rowB), 1);
    }
  }
  return { both, onlyA, onlyB: free };
}

function indices(a: ForceTable, b: ForceTable, { both, onlyA, onlyB }: Pairs): unknown {
  return {
    both: both.map(({ rowA, rowB }) => [a.rows.indexOf(rowA), b.rows.indexOf(rowB)]),
    onlyA: onlyA.map((one) => a.rows.indexOf(one)),
    onlyB: onlyB.map((one) => b.rows.indexOf(one)).sort((x, y) => x - y),
  };
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

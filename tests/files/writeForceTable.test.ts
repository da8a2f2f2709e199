import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { copyOfRow } from '../../src/files/forceRow';
import type { ForceRow, ForceTable, MeasuredRow } from '../../src/files/forceTable';
import { readForceTable } from '../../src/files/readForceTable';
import { withoutUndefined } from '../../src/files/withoutUndefined';
import { roundForceTable, writeForceTable } from '../../src/files/writeForceTable';
import { told } from './support';
import { thorough } from '../thorough';

const RUNS = thorough ? 5000 : 60;
const SHA = 'b'.repeat(64);

const MEASURED: MeasuredRow = {
  compressionVelocity: 0.100123,
  reboundVelocity: 0.0998766,
  compressionU: 3.14159,
  reboundU: 2.71828,
  compressionK: 2.02039,
  reboundK: 2.0301,
  compressionDf: Infinity,
  reboundDf: 40.449,
  cycles: 4,
  energy: 54.12345,
};

const RESULT: ForceTable = {
  file: 'dampers/F-017/build-2/alder-front.result.csv',
  kind: 'result',
  formatVersion: 1,
  spec: 'alder-front',
  headerLine: 1,
  adjusters: [
    { id: 'LSC', unit: 'click' },
    { id: 'R', unit: 'turn' },
  ],
  basis: { drive: 'sine', stroke: 0.05, midPosition: 0.0350049, forceZero: 'unloaded', temperatureAt: 'body' },
  gas: { force: 374.96, temperature: 304.149, source: 'fit' },
  rows: [
    {
      line: 0,
      setting: [8, 1.5],
      pass: 1,
      velocity: 0.1,
      compression: 895.4449,
      rebound: -314.649,
      temperature: 307.15,
      measured: MEASURED,
    },
    {
      line: 0,
      setting: [8, 1.5],
      pass: 2,
      velocity: 0.7,
      compression: NaN,
      rebound: -0.04,
      gas: 374.0,
      measured: { ...MEASURED, compressionU: NaN },
    },
  ],
  result: {
    serial: '017',
    build: '2',
    date: '2026-03-14T10:22:00Z',
    bench: 'bench-1',
    run: 2,
    sameMounting: false,
    retest: { of: '2026-03-13', reason: 'clevis: loose, "again"' },
    method: 1,
    benchIncluded: true,
    source: [{ path: 'dampers/F-017/build-2/alder-front.testlog.csv.gz', sha256: SHA }],
    inputs: { spec: SHA, bench: SHA },
    reference: { path: 'specs/alder-front.refcurve.csv', sha256: SHA },
  },
};

/** The format is a contract with every committed result: a change here makes all of them read as altered. */
const RESULT_TEXT = `# formatVersion: 1
# spec: alder-front
# serial: 017
# build: 2
# date: 2026-03-14T10:22:00Z
# bench: bench-1
# run: 2
# sameMounting: false
# retest: {of: 2026-03-13, reason: "clevis: loose, \\"again\\""}
# gas: {force: 375.0 N, temperature: 31.0 Cel, source: fit}
# stroke: 50 mm
# midPosition: 35 mm
# drive: sine
# forceZero: unloaded
# temperatureAt: body
# method: 1
# benchIncluded: true
# source: [{path: dampers/F-017/build-2/alder-front.testlog.csv.gz, sha256: ${SHA}}]
# inputs: {spec: ${SHA}, bench: ${SHA}}
# reference: {path: specs/alder-front.refcurve.csv, sha256: ${SHA}}
LSC [click],R [turn],pass,velocity [mm/s],compression [N],rebound [N],gas [N],temperature [Cel],compressionVelocity [mm/s],reboundVelocity [mm/s],compressionU [N],reboundU [N],compressionK,reboundK,compressionDf,reboundDf,cycles,energy [J]
8,1.5,1,100,895.4,-314.6,,34.0,100.12,99.88,3.14,2.72,2.020,2.030,9999.0,40.4,4,54.123
8,1.5,2,700,,0.0,374.0,,100.12,99.88,,2.72,2.020,2.030,9999.0,40.4,4,54.123
`;

function text(table: ForceTable): string {
  return new TextDecoder().decode(writeForceTable(table));
}

/** Reads back and forgets where the lines stand. */
function reread(table: ForceTable): ForceTable {
  const { table: read, problems } = readForceTable(table.file, writeForceTable(table));
  if (read === undefined) throw new Error(JSON.stringify(problems.map(told), null, 1));
  return withoutLines(read);
}

function withoutLines(table: ForceTable): ForceTable {
  return { ...table, headerLine: 0, rows: table.rows.map((row) => ({ ...copyOfRow(row), line: 0 })) };
}

describe('writeForceTable', () => {
  it('writes a result to the byte', () => {
    expect(text(RESULT)).toBe(RESULT_TEXT);
  });

  it('writes reference curves without the columns of a measurement', () => {
    const rows = RESULT.rows.map(({ line, setting, velocity, compression, rebound, gas, temperature }) =>
      withoutUndefined({ line, setting, pass: 1, velocity, compression, rebound, gas, temperature }),
    );
    const { formatVersion, spec, headerLine, adjusters, basis, gas } = RESULT;
    const reference: ForceTable = {
      ...{ formatVersion, spec, headerLine, adjusters, basis, rows },
      ...(gas === undefined ? {} : { gas }),
      kind: 'reference',
      file: 'a.refcurve.csv',
      adopted: { from: ['a.result.csv', 'b.result.csv'], on: '2026-01-20', reason: 'Mean of two' },
    };
    expect(text(reference).split('\n').slice(2)).toEqual([
      '# gas: {force: 375.0 N, temperature: 31.0 Cel, source: fit}',
      '# stroke: 50 mm',
      '# midPosition: 35 mm',
      '# drive: sine',
      '# forceZero: unloaded',
      '# temperatureAt: body',
      '# adopted: {from: [a.result.csv, b.result.csv], on: 2026-01-20, reason: Mean of two}',
      'LSC [click],R [turn],velocity [mm/s],compression [N],rebound [N],gas [N],temperature [Cel]',
      '8,1.5,100,895.4,-314.6,,34.0',
      '8,1.5,700,,0.0,374.0,',
      '',
    ]);
  });

  it('is read back as what roundForceTable says', () => {
    expect(reread(RESULT)).toEqual(withoutLines(roundForceTable(RESULT)));
  });

  it('leaves a table alone that was rounded before', () => {
    const rounded = roundForceTable(RESULT);
    expect(roundForceTable(rounded)).toEqual(rounded);
    expect(text(rounded)).toBe(text(RESULT));
  });

  it('numbers two achieved speeds that round to one as passes', () => {
    const row = { line: 0, setting: [], pass: 1, compression: 1, rebound: -1 };
    const rows = [0.100001, 0.100002, 0.1].map((velocity) => ({ ...row, velocity }));
    const { kind, formatVersion, spec, headerLine, file } = RESULT;
    const table: ForceTable = {
      kind,
      formatVersion,
      spec,
      headerLine,
      file,
      adjusters: [],
      basis: {},
      rows,
      result: { serial: 'a', build: 'b', source: [], inputs: {} },
    };
    expect(roundForceTable(table).rows.map(({ velocity, pass }) => [velocity, pass])).toEqual([
      [0.1, 1],
      [0.1, 2],
      [0.1, 3],
    ]);
    expect(reread(table).rows.length).toBe(3);
  });
});

const finite = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const orEmpty = (value: fc.Arbitrary<number>) =>
  fc.oneof({ arbitrary: value, weight: 9 }, { arbitrary: fc.constant(NaN), weight: 1 });
const words = fc
  .string({ unit: 'grapheme', minLength: 1, maxLength: 30 })
  .filter((one) => one.trim() !== '' && !/[\p{C}\p{Zl}\p{Zp}<>]/u.test(one));
const measuredRow: fc.Arbitrary<MeasuredRow> = fc.record({
  compressionVelocity: orEmpty(finite(0, 5)),
  reboundVelocity: orEmpty(finite(0, 5)),
  compressionU: orEmpty(finite(0, 1000)),
  reboundU: orEmpty(finite(0, 1000)),
  compressionK: orEmpty(finite(1, 13)),
  reboundK: orEmpty(finite(1, 13)),
  compressionDf: orEmpty(fc.oneof(finite(1, 1e6), fc.constant(Infinity))),
  reboundDf: orEmpty(finite(1, 1e6)),
  cycles: fc.nat(1000),
  energy: orEmpty(finite(-10, 5000)),
});
const someRow = (adjusters: number, withMeasured: boolean): fc.Arbitrary<ForceRow> =>
  fc
    .record({
      setting: fc.array(fc.nat(40), { minLength: adjusters, maxLength: adjusters }),
      velocity: finite(0.001, 5),
      compression: orEmpty(finite(10, 20_000)),
      rebound: orEmpty(finite(-20_000, -10)),
      gas: fc.option(finite(-2000, 2000), { nil: undefined }),
      temperature: fc.option(finite(250, 450), { nil: undefined }),
      measured: measuredRow,
    })
    .map(({ measured, ...row }) =>
      withoutUndefined({ line: 0, pass: 1, ...row, measured: withMeasured ? measured : undefined }),
    );
const anyTable: fc.Arbitrary<ForceTable> = fc.tuple(fc.nat(3), fc.boolean()).chain(([adjusters, isResult]) =>
  fc
    .record({
      spec: words,
      rows: fc.array(someRow(adjusters, isResult), { minLength: 1, maxLength: 8 }),
      stroke: fc.option(finite(0.001, 1), { nil: undefined }),
      drive: fc.constantFrom('sine', 'triangle', 'other', undefined),
      gas: fc.option(
        fc.record({ force: finite(-2000, 2000), source: fc.constantFrom('fit', 'static', 'stated', 'constant') }),
        { nil: undefined },
      ),
      serial: words,
      build: words,
      reason: words,
    })
    .map(({ spec, rows, stroke, drive, gas, serial, build, reason }) =>
      withoutUndefined({
        file: isResult ? 'x.result.csv' : 'x.refcurve.csv',
        kind: isResult ? ('result' as const) : ('reference' as const),
        formatVersion: 1,
        spec,
        headerLine: 0,
        adjusters: ['LSC', 'HSC', 'R'].slice(0, adjusters).map((id) => ({ id, unit: 'click' })),
        basis: withoutUndefined({ stroke, drive }),
        gas,
        rows,
        adopted: isResult ? undefined : { from: ['a/b c.result.csv'], reason },
        result: isResult ? { serial, build, retest: { reason }, source: [], inputs: {} } : undefined,
      }),
    ),
);

describe('any table', () => {
  it('is read back as it was rounded, and written again to the same bytes', () => {
    fc.assert(
      fc.property(anyTable, (table) => {
        const rounded = roundForceTable(table);
        expect(reread(table)).toEqual(withoutLines(rounded));
        expect(text(reread(table))).toBe(text(table));
      }),
      { seed: 20260314, numRuns: RUNS },
    );
  });

  it('moves no number by more than half of its last digit', () => {
    fc.assert(
      fc.property(anyTable, (table) => {
        roundForceTable(table).rows.forEach((row, index) => {
          const before = table.rows[index]!;
          for (const side of ['compression', 'rebound'] as const) {
            if (!Number.isNaN(before[side]))
              expect(Math.abs(row[side] - before[side])).toBeLessThanOrEqual(0.05 + 1e-9);
          }
          expect(Math.abs(row.velocity - before.velocity)).toBeLessThanOrEqual(0.5e-5 + 1e-12);
        });
      }),
      { seed: 7, numRuns: RUNS },
    );
  });
});

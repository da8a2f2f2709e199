import { describe, expect, it } from 'vitest';
import type { MappedColumn } from '../../../src/files/reviewConfig';
import { mapping, open, problemsOf, readWhole } from './readLog';

const ROWS = 'time [s],displacement [mm],force [N]\n0,1,2\n';

describe('the head of a test log', () => {
  it('has every key of docs/formats.md, in SI and with its place', async () => {
    const { head, warnings } = await open(
      [
        '# formatVersion: 1',
        '# spec: alder-front',
        '# serial: 017',
        '# build: 2',
        '# date: 2026-03-14T10:22:00Z',
        '# bench: bench-1',
        '# setting: {LSC: 8, HSC: 3, R: 6.5}',
        '# forceZero: unloaded',
        '# stroke: 50 mm',
        '# midPosition: 35 mm',
        '# kind: sweep',
        '# run: 2',
        '# sameMounting: true',
        '# retest: {of: 2026-03-13, reason: "loose rod end"}',
        '# drive: sine',
        '# order: falling',
        '# temperatureAt: body',
        ROWS,
      ].join('\n'),
    );
    expect(warnings).toEqual([]);
    expect(head).toMatchObject({
      spec: 'alder-front',
      serial: '017',
      build: '2',
      date: '2026-03-14T10:22:00Z',
      bench: 'bench-1',
      setting: { LSC: 8, HSC: 3, R: 6.5 },
      kind: 'sweep',
      run: 2,
      sameMounting: true,
      retest: { of: '2026-03-13', reason: 'loose rod end' },
      order: 'falling',
      basis: { forceZero: 'unloaded', stroke: 0.05, midPosition: 0.035, drive: 'sine', temperatureAt: 'body' },
      headerLine: 18,
    });
    expect(head.positionOf('serial').line).toBe(3);
    expect(head.positionOf('setting.R').line).toBe(7);
    expect(head.positionOf('force')).toEqual({ line: 18, column: 28 });
    expect(head.positionOf('nothing')).toEqual({ line: 18, column: 1 });
  });

  it('may be nothing but a header row', async () => {
    const { head } = await open(ROWS);
    expect(head).toMatchObject({ file: 'a.testlog.csv', kind: 'staircase', setting: {}, basis: {} });
    expect('serial' in head).toBe(false);
  });

  it('turns channels round that count up in rebound', async () => {
    const { columns } = await readWhole(`# positive: {displacement: rebound, force: rebound}\n${ROWS}`);
    expect(columns).toEqual({ time: [0], displacement: [-0.001], force: [-2] });
  });

  it('refuses an unknown key, with the nearest known one, and passes over comments', async () => {
    const problems = await problemsOf(`# serail: F-1\n# a comment, no key\n${ROWS}`);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ rule: 'file-invalid', position: { line: 1, column: 3 }, value: 'serail' });
    expect(problems[0]?.remedy).toContain("'serial'");
  });

  it.each([
    ['# kind: stair', 'file-invalid', 'stair', 'staircase'],
    ['# stroke: 50', 'file-invalid', '50', '50 mm'],
    ['# stroke: 50 N', 'unit-mismatch', '50 N', 'mm'],
    ['# stroke: wide', 'file-invalid', 'wide', '50 mm'],
    ['# date: 2026-02-30', 'file-invalid', '2026-02-30', '2026-03-14'],
    ['# run: 0', 'file-invalid', '0', 'whole number'],
    ['# sameMounting: maybe', 'file-invalid', 'maybe', 'true'],
    ['# setting: 8', 'file-invalid', '8', 'keys and values'],
    ['# setting: {LSC: soft}', 'file-invalid', 'soft', 'plain number'],
    ['# positive: {force: up}', 'file-invalid', 'up', 'rebound'],
    ['# positive: {load: rebound}', 'file-invalid', 'load', 'force'],
    ['# serial: [1, 2]', 'file-invalid', '[1, 2]', 'one value'],
    ['# serial: "F\\u202e-1"', 'file-invalid', 'F\u202e-1', 'letters'],
    ['# serial: "F\\e[31m"', 'file-invalid', 'F\u001b[31m', 'letters'],
    ['# formatVersion: 7', 'file-invalid', '7', 'Update'],
    ['# retest: {why: x}', 'file-invalid', 'why', 'reason'],
  ])('refuses %s', async (line, rule, value, remedy) => {
    const problems = await problemsOf(`${line}\n${ROWS}`);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ rule, value, file: 'a.testlog.csv', position: { line: 1 } });
    expect(problems[0]?.remedy).toContain(remedy);
  });
});

describe('a mapping', () => {
  const column = (
    role: MappedColumn['role'],
    header: string,
    unit: string,
    positive: MappedColumn['positive'] = 'compression',
  ): MappedColumn => ({
    role,
    header,
    unit,
    positive,
  });
  const columns = [
    column('time', 't', 's'),
    column('displacement', 'way', 'mm', 'rebound'),
    column('force', 'load', 'kN'),
  ];
  const text = 'Bench 7\n\n# exported: [\nt;load;way;x\n0,00;1,5;10,0;a\n0,01;-1,5;9,0;b\n';

  it('reads a foreign layout without touching it', async () => {
    const { log, columns: read } = await readWhole(text, {
      file: 'incoming/F-017/2/6.csv',
      mapping: mapping({
        delimiter: ';',
        decimal: ',',
        skipLines: 1,
        columns: [...columns, { ...column('adjuster', 'x', 'lb'), id: 'tension' }].slice(0, 3),
        preamble: { spec: 'alder-front', setting: { LSC: '4', R: '1' }, stroke: '50 mm' },
        fromPath: 'incoming/{serial}/{build}/{setting.R}.csv',
      }),
    });
    expect(read).toEqual({ time: [0, 0.01], displacement: [10 * -0.001, 9 * -0.001], force: [1500, -1500] });
    expect(log.warnings).toEqual([]);
    expect(log.head).toMatchObject({
      spec: 'alder-front',
      serial: 'F-017',
      build: '2',
      setting: { LSC: 4, R: 6 },
      basis: { stroke: 0.05 },
      headerLine: 4,
    });
    expect(log.lineOfRow(1)).toBe(6);
  });

  it('may leave delimiter and decimal mark to the content', async () => {
    const { columns: read } = await readWhole(text, { mapping: mapping({ skipLines: 1, columns }) });
    expect(read['force']).toEqual([1500, -1500]);
  });

  it('may leave the columns to the header, and gives way to the log itself', async () => {
    const { log } = await readWhole(`# spec: own\n${ROWS}`, {
      mapping: mapping({ preamble: { spec: 'other', bench: 'b' } }),
    });
    expect(log.head).toMatchObject({ spec: 'own', bench: 'b' });
  });

  it('takes adjuster columns in any unit', async () => {
    const { log, adjusters } = await readWhole('t,way,load,T\n0,0,0,22\n1,0,0,25\n', {
      mapping: mapping({ columns: [...columns, { ...column('adjuster', 'T', 'lb'), id: 'tension' }] }),
    });
    expect(adjusters).toEqual([[22, 25]]);
    expect(log.head.columns.at(-1)).toMatchObject({ name: 'tension', unit: 'lb', factor: 1, offset: 0 });
  });

  it('warns where the path does not fit its pattern', async () => {
    const { warnings } = await open(ROWS, { mapping: mapping({ fromPath: 'incoming/{serial}.csv' }) });
    expect(warnings).toHaveLength(1);
    expect(warnings[0]).toMatchObject({ rule: 'file-invalid', value: 'incoming/{serial}.csv' });
  });

  it.each([
    ['a header that is not there', 't,wya,load\n0,0,0\n', { columns }, 'way', "'wya'"],
    ['a header that stands twice', 't,way,load,way\n0,0,0,0\n', { columns }, 'way', 'Rename'],
    [
      'two channels from one header',
      't,way,load\n0,0,0\n',
      { columns: [...columns, column('velocity', 'load', 'mm/s')] },
      'load',
      'own',
    ],
    ['too many skipped lines', 't,way,load\n0,0,0\n', { columns, skipLines: 9 }, undefined, 'skipLines'],
    [
      'a wrong unit',
      't,way,load\n0,0,0\n',
      { columns: [columns[0]!, column('displacement', 'way', 'N'), columns[2]!] },
      'way',
      'logs[0]',
    ],
  ])('with %s is told', async (_name, log, changes, value, remedy) => {
    const problems = await problemsOf(log, { mapping: mapping(changes) });
    expect(problems).toHaveLength(1);
    if (value !== undefined) expect(problems[0]?.value).toBe(value);
    expect(problems[0]?.remedy).toContain(remedy);
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { AbortedError } from '../../../src/ports/abort';
import { openTestLog } from '../../../src/files/log/openTestLog';
import { mapping, open, piecesOf, readWhole } from './readLog';

const HEADER = 'time [s],displacement [mm],velocity [mm/s],force [N],temperature [Cel]\n';

describe('the rows of a test log', () => {
  it('come as SI columns, from the example of docs/formats.md', async () => {
    const { log, columns } = await readWhole(
      `${HEADER}0.0000,-25.0000,0.000,310.20,31.0\n0.0010,-24.5,500,-310.2,31.5\n`,
    );
    expect(columns['time']).toEqual([0, 0.001]);
    expect(columns['displacement']).toEqual([-25 * 0.001, -24.5 * 0.001]);
    expect(columns['velocity']).toEqual([0, 0.5]);
    expect(columns['force']).toEqual([310.2, -310.2]);
    expect(columns['temperature']).toEqual([31 + 273.15, 31.5 + 273.15]);
    expect(log.rows).toBe(2);
  });

  it('need time, displacement and force only, in any order, beside columns that nobody asked for', async () => {
    const { log, columns } = await readWhole(
      'note,force [kN],time [ms],displacement [m]\nok,1,0,0.1\n"a, b",2,5,0.2\n',
    );
    expect(columns).toEqual({ time: [0, 0.005], displacement: [0.1, 0.2], force: [1000, 2000] });
    expect(log.head.columns.map(({ role, index }) => [role, index])).toEqual([
      ['force', 1],
      ['time', 2],
      ['displacement', 3],
    ]);
  });

  it('have adjuster columns unchanged, in the order of the file', async () => {
    const { log, adjusters } = await readWhole(
      'R [click],time [s],displacement [mm],force [N],LSC [turn]\n18,0,0,0,1.5\n17,1,0,0,1.25\n',
    );
    expect(adjusters).toEqual([
      [18, 17],
      [1.5, 1.25],
    ]);
    expect(log.head.columns.filter((column) => column.role === 'adjuster').map((column) => column.name)).toEqual([
      'R',
      'LSC',
    ]);
  });

  it.each([
    ['commas', ',', '.'],
    ['semicolons', ';', '.'],
    ['semicolons and decimal commas', ';', ','],
    ['tabs', '\t', '.'],
    ['tabs and decimal commas', '\t', ','],
  ])('are found with %s, LF or CRLF, with or without a byte order mark', async (_name, delimiter, mark) => {
    for (const lineEnd of ['\n', '\r\n'])
      for (const start of ['', '\uFEFF', `\uFEFF# spec: a${lineEnd}`]) {
        const text = ['time [s],displacement [mm],force [N]', '0,-1.5,2', '1,2.25,-3']
          .map((line) => line.replaceAll(',', delimiter).replaceAll('.', mark))
          .join(lineEnd);
        const { columns } = await readWhole(start + text);
        expect(columns).toEqual({ time: [0, 1], displacement: [-1.5 * 0.001, 2.25 * 0.001], force: [2, -3] });
      }
  });

  it('take a decimal comma in quotes between commas', async () => {
    const { columns } = await readWhole('time [s],displacement [m],force [N]\n"0,5","1,25",3\n1,"2,5","-4,75"\n');
    expect(columns).toEqual({ time: [0.5, 1], displacement: [1.25, 2.5], force: [3, -4.75] });
  });

  it('are the same however the bytes are cut', async () => {
    const text =
      '\uFEFF# spec: é\r\nnote,time [s],displacement [mm],force [N]\r\n"a\r\n""é",0,1.5,2\r\n🙂,1,"2.5",-3e2\r\n';
    const bytes = new TextEncoder().encode(text);
    const whole = await readWhole(text);
    for (let length = 1; length < bytes.length; length++) {
      const log = await openTestLog({ file: 'a.csv', open: () => piecesOf(bytes, length) });
      const rows: number[][] = [];
      for await (const { time, displacement, force } of log.chunks())
        for (let row = 0; row < time.length; row++) rows.push([time[row]!, displacement[row]!, force[row]!]);
      expect(rows, `pieces of ${length}`).toEqual(
        [0, 1].map((row) => ['time', 'displacement', 'force'].map((name) => whole.columns[name]![row])),
      );
      expect([log.lineOfRow(0), log.lineOfRow(1)]).toEqual([3, 5]);
    }
  });

  // Doubles that are hard to round: halfway cases and limits of IEEE 754, among them those that David Gay's and Rick
  // Regan's papers on decimal conversion made known (values from memory; Number() is the judge).
  it.each([
    '9007199254740993',
    '9007199254740992.5',
    '0.1',
    '1e22',
    '1e23',
    '8.5e22',
    '123456789012345678',
    '0.500000000000000166533453693773481063544750213623046875',
    '3.518437208883201171875e13',
    '62.5364939768271845828',
    '8.10109172351e-10',
    '1.50000000000000011102230246251565',
    '2.2250738585072011e-308',
    '2.2250738585072014e-308',
    '5e-324',
    '2e-324',
    '1.7976931348623157e308',
    '6.8e-22',
    '00000000000000000000000001.25',
    '1.2500000000000000000000000000',
    '.5',
    '5.',
    '+7.5',
    '-0.0',
    '1E5',
    '12345678.9',
    '123456789.1',
    '2147483648',
    '4294967296.5',
    '999999999',
    '1000000000',
  ])('round %s as Number() does', async (text) => {
    const { columns } = await readWhole(`time [s],displacement [m],force [N]\n0,0,${text}\n1,"0","${text}"\n`);
    expect(columns['force']).toEqual([Number(text) * 1 + 0, Number(text) * 1 + 0]);
  });

  it('know their lines past blank lines, comments and line breaks in quotes', async () => {
    const { log } = await readWhole(
      '\n# spec: a\n\ntime [s],displacement [mm],force [N],note\n\n0,0,0,\n# x\n\n1,0,0,"a\nb\nc"\n2,0,0,\n3,0,0,\n',
    );
    expect(log.head.headerLine).toBe(4);
    expect([0, 1, 2, 3].map((row) => log.lineOfRow(row))).toEqual([6, 9, 12, 13]);
  });

  it('come again from the start with every pass, and in chunks of the size asked for', async () => {
    const log = await open(`${HEADER}0,0,0,0,0\n1,0,0,0,0\n2,0,0,0,0\n`, { chunkRows: 2 });
    for (let pass = 0; pass < 2; pass++) {
      const sizes: number[][] = [];
      for await (const chunk of log.chunks()) sizes.push([chunk.firstRow, chunk.rows, chunk.time.length]);
      expect(sizes).toEqual([
        [0, 2, 2],
        [2, 1, 1],
      ]);
    }
  });

  it('of an aborted run do not come', async () => {
    const signal = { aborted: false, addEventListener: () => undefined, removeEventListener: () => undefined };
    const bytes = new TextEncoder().encode(`${HEADER}0,0,0,0,0\n1,0,0,0,0\n2,0,0,0,0\n`);
    const log = await openTestLog({ file: 'a.csv', open: () => piecesOf(bytes, 10), signal, chunkRows: 1 });
    const reading = log.chunks()[Symbol.asyncIterator]();
    expect((await reading.next()).value).toMatchObject({ firstRow: 0 });
    signal.aborted = true;
    await expect(reading.next()).rejects.toThrow(AbortedError);
    await expect(openTestLog({ file: 'a.csv', open: () => piecesOf(bytes, 10), signal })).rejects.toThrow(AbortedError);
  });
});

describe('open measured data', () => {
  const folder = new URL('../../published/data/', import.meta.url);

  // CC BY-SA 4.0: Dataset-Friction-Damper-with-Backlash, ARTS-Laboratory; the row is the file's second.
  it('in inches and thousand pounds-force reads by its own header', async () => {
    const { log, columns } = await readWhole(readFileSync(new URL('friction_damper/ds1_1Hz_22lb.csv', folder)));
    expect(log.rows).toBe(columns['time']!.length);
    expect(columns['displacement']![2]).toBe(-0.115625 * 0.0254);
    expect(columns['force']![2]).toBe(-0.108648 * 4448.2216152605);
    expect(log.lineOfRow(2)).toBe(4);
  });

  // MIT: labcontrol-data/mr-damper, DOI 10.5281/zenodo.4445334.
  it('with bare headers reads by a mapping', async () => {
    const columnsOf = (role: 'time' | 'displacement' | 'force', header: string, unit: string) =>
      ({ role, header, unit, positive: 'compression' }) as const;
    const { columns } = await readWhole(readFileSync(new URL('mr_damper/mr_0V_run01.csv', folder)), {
      mapping: mapping({
        columns: [
          columnsOf('time', 'time_s', 's'),
          columnsOf('displacement', 'displacement_mm', 'mm'),
          columnsOf('force', 'force_N', 'N'),
        ],
      }),
    });
    expect([columns['time']![1], columns['displacement']![1], columns['force']![1]]).toEqual([0.01, 0, 84.2837]);
  });
});

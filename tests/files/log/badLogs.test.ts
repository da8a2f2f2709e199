import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { problemsOf } from './readLog';

const HEADER = 'time [s],displacement [mm],force [N]\n';
const utf16 = (text: string) => new Uint8Array(Buffer.from(`\uFEFF${text}`, 'utf16le'));

interface Expected {
  readonly rule: string;
  readonly line: number;
  readonly column: number;
  readonly value?: string;
  readonly message: RegExp;
  readonly remedy: RegExp;
}

describe('a log that cannot be read says where, what and what to do', () => {
  const cases: readonly [name: string, content: string | Uint8Array, expected: Expected][] = [
    ['empty', '', { rule: 'unreadable', line: 1, column: 1, message: /empty/, remedy: /Restore/ }],
    [
      'header only',
      `# spec: a\n${HEADER}`,
      { rule: 'file-invalid', line: 2, column: 1, message: /no rows/, remedy: /Export/ },
    ],
    [
      'preamble only',
      '# spec: a\n\n',
      { rule: 'file-invalid', line: 2, column: 1, message: /no header/, remedy: /Export/ },
    ],
    [
      'missing column',
      'time [s],dispalcement [mm],force [N]\n0,0,0\n',
      {
        rule: 'file-invalid',
        line: 1,
        column: 10,
        value: 'dispalcement [mm]',
        message: /displacement/,
        remedy: /nearest header is 'dispalcement \[mm\]'/,
      },
    ],
    [
      'no header',
      '0,0,0\n1,1,1\n',
      {
        rule: 'file-invalid',
        line: 1,
        column: 1,
        value: '0',
        message: /numbers where the header/,
        remedy: /time \[s\]/,
      },
    ],
    [
      'unknown unit',
      'time [s],displacement [mn],force [N]\n0,0,0\n',
      { rule: 'unit-mismatch', line: 1, column: 10, value: 'displacement [mn]', message: /'mn'/, remedy: /mm/ },
    ],
    [
      'wrong dimension',
      'time [s],displacement [mm],force [mm]\n0,0,0\n',
      { rule: 'unit-mismatch', line: 1, column: 28, value: 'force [mm]', message: /length/, remedy: /N/ },
    ],
    [
      'no unit',
      'time [s],displacement [mm],force\n0,0,0\n',
      { rule: 'unit-mismatch', line: 1, column: 28, value: 'force', message: /no unit/, remedy: /force \[N\]/ },
    ],
    [
      'duplicated column',
      'time [s],displacement [mm],force [N],force [kN]\n0,0,0,0\n',
      { rule: 'file-invalid', line: 1, column: 38, value: 'force [kN]', message: /twice/, remedy: /Rename/ },
    ],
    [
      'ragged row',
      `${HEADER}0,0,0\n1,1\n`,
      {
        rule: 'file-invalid',
        line: 3,
        column: 1,
        value: '1,1',
        message: /2 cells where the header has 3/,
        remedy: /Complete/,
      },
    ],
    [
      'decimal commas between commas',
      `${HEADER}0,00,1,5,2,0\n`,
      { rule: 'file-invalid', line: 2, column: 1, value: '0,00,1,5,2,0', message: /6 cells/, remedy: /semicolons/ },
    ],
    [
      'text in a number',
      `${HEADER}0,0,0\n1,12 mm,0\n`,
      {
        rule: 'file-invalid',
        line: 3,
        column: 3,
        value: '12 mm',
        message: /displacement of this row is text/,
        remedy: /-25\.00/,
      },
    ],
    [
      'hexadecimal',
      `${HEADER}0,0x1F,0\n`,
      { rule: 'file-invalid', line: 2, column: 3, value: '0x1F', message: /text/, remedy: /plain number/ },
    ],
    [
      'NaN',
      `${HEADER}0,0,NaN\n`,
      { rule: 'file-invalid', line: 2, column: 5, value: 'NaN', message: /not a number/, remedy: /gap/ },
    ],
    [
      'infinity',
      `${HEADER}0,-Infinity,0\n`,
      { rule: 'file-invalid', line: 2, column: 3, value: '-Infinity', message: /infinite/, remedy: /gap/ },
    ],
    [
      'overflow',
      `${HEADER}0,1e400,0\n`,
      { rule: 'file-invalid', line: 2, column: 3, value: '1e400', message: /too large/, remedy: /gap/ },
    ],
    [
      'empty cell',
      `${HEADER}0,,0\n`,
      { rule: 'file-invalid', line: 2, column: 3, value: '', message: /empty/, remedy: /delete the row/ },
    ],
    [
      'decimal commas in quotes first, bare ones later',
      `${HEADER}"0,5","1,5",0\n1,5,2,5,0\n`,
      {
        rule: 'file-invalid',
        line: 3,
        column: 1,
        value: '1,5,2,5,0',
        message: /5 cells/,
        remedy: /semicolons/,
      },
    ],
    [
      'two decimal marks',
      `${HEADER.replaceAll(',', ';')}0;1.5;0\n1;2,5;0\n`,
      {
        rule: 'file-invalid',
        line: 3,
        column: 3,
        value: '2,5',
        message: /decimal comma, the numbers before it a decimal point/,
        remedy: /one decimal mark/,
      },
    ],
    [
      'time backwards',
      `${HEADER}0,0,0\n2,0,0\n1.5,0,0\n`,
      { rule: 'time-not-increasing', line: 4, column: 1, value: '1.5', message: /back by 0\.5 s/, remedy: /Sort/ },
    ],
    [
      'time standing still',
      `${HEADER}0,0,0\n0.001,0,0\n0.001,0,0\n`,
      {
        rule: 'time-not-increasing',
        line: 4,
        column: 1,
        value: '0.001',
        message: /stands still/,
        remedy: /more decimals/,
      },
    ],
    [
      'open quote',
      `${HEADER}0,0,0\n1,"0,0\n2,0,0\n`,
      { rule: 'file-invalid', line: 3, column: 3, value: '"0,0', message: /never closed/, remedy: /Close/ },
    ],
    [
      'stray quote',
      `${HEADER}0,0,0\n1,0"5,0\n`,
      { rule: 'file-invalid', line: 3, column: 3, value: '0"5,0', message: /inside a cell/, remedy: /Remove/ },
    ],
    [
      'open quote in the header',
      'time [s],"displacement [mm],force [N]\n0,0,0\n',
      { rule: 'file-invalid', line: 1, column: 10, message: /never closed/, remedy: /Close/ },
    ],
    [
      'Git LFS pointer',
      'version https://git-lfs.github.com/spec/v1\noid sha256:4d7a\nsize 123456789\n',
      {
        rule: 'large-file-pointer',
        line: 1,
        column: 1,
        value: 'size 123456789',
        message: /123456789 bytes/,
        remedy: /git lfs pull/,
      },
    ],
    [
      'binary',
      Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, 0x49]),
      { rule: 'unreadable', line: 1, column: 1, message: /binary/, remedy: /plain text/ },
    ],
    [
      'numbers in binary',
      new Uint8Array(new Float64Array([1.5, 2.5, 3.25, 1e5]).buffer),
      { rule: 'unreadable', line: 1, column: 1, message: /binary|UTF-16/, remedy: /UTF-8/ },
    ],
    [
      'gzip under another name',
      new Uint8Array(gzipSync(HEADER)),
      { rule: 'unreadable', line: 1, column: 1, message: /gzip/, remedy: /\.gz/ },
    ],
    [
      'a spreadsheet',
      Uint8Array.from([0x50, 0x4b, 3, 4, 20, 0, 6, 0]),
      { rule: 'unreadable', line: 1, column: 1, message: /spreadsheet/, remedy: /plain text/ },
    ],
    [
      'UTF-16 with a mark',
      utf16(`${HEADER}0,0,0\n`),
      { rule: 'unreadable', line: 1, column: 1, message: /UTF-16/, remedy: /UTF-8/ },
    ],
    [
      'UTF-16 without a mark',
      utf16(`${HEADER}0,0,0\n`).subarray(2),
      { rule: 'unreadable', line: 1, column: 1, message: /UTF-16/, remedy: /UTF-8/ },
    ],
    [
      'Latin-1 in the header',
      new Uint8Array(Buffer.from('# spec: a\ntime [s],displacement [µm],force [N]\n0,0,0\n', 'latin1')),
      { rule: 'unreadable', line: 2, column: 24, message: /not UTF-8/, remedy: /UTF-8/ },
    ],
    [
      'lines that end with CR',
      'time [s],displacement [mm],force [N]\r0,0,0\r',
      { rule: 'file-invalid', line: 1, column: 37, message: /CR alone/, remedy: /LF/ },
    ],
    [
      'a control character',
      `${HEADER}0,0\0,0\n`,
      { rule: 'file-invalid', line: 2, column: 3, value: '0\0', message: /text/, remedy: /plain number/ },
    ],
  ];

  it.each(cases)('%s', async (_name, content, expected) => {
    const problems = await problemsOf(content);
    expect(problems).toHaveLength(1);
    const [problem] = problems;
    expect(problem).toMatchObject({
      rule: expected.rule,
      file: 'a.testlog.csv',
      position: { line: expected.line, column: expected.column },
      ...(expected.value === undefined ? {} : { value: expected.value }),
    });
    expect(problem?.message).toMatch(expected.message);
    expect(problem?.remedy).toMatch(expected.remedy);
    expect(problem?.message).toMatch(/\.$/);
    expect(problem?.remedy).toMatch(/[.\]]$/);
  });

  it('names every column that is missing', async () => {
    const problems = await problemsOf('time_s,displacement_mm,force_N\n0,0,0\n');
    expect(problems.map((problem) => [problem.column, problem.value])).toEqual([
      ['time', 'time_s'],
      ['displacement', 'displacement_mm'],
      ['force', 'force_N'],
    ]);
  });

  it('is not taken in by names that every object has', async () => {
    const problems = await problemsOf('constructor [s],__proto__ [mm],toString [N]\n0,0,0\n');
    expect(problems.map((problem) => problem.column)).toEqual(['time', 'displacement', 'force']);
  });

  it('lists 20 problems at most, in reading order, of fewer all', async () => {
    const rows = Array.from({ length: 50 }, (_, row) => `${row},x,0`);
    const problems = await problemsOf(HEADER + rows.join('\n'));
    expect(problems.map((problem) => problem.position.line)).toEqual(Array.from({ length: 20 }, (_, at) => at + 2));
    rows.splice(3, rows.length, '3,0,0', '2,0,y', '9,0', '');
    expect((await problemsOf(HEADER + rows.join('\n'))).map(({ rule, position }) => [rule, position.line])).toEqual([
      ['file-invalid', 2],
      ['file-invalid', 3],
      ['file-invalid', 4],
      ['file-invalid', 6],
      ['time-not-increasing', 6],
      ['file-invalid', 7],
    ]);
  });

  it('places a fault behind line breaks in quotes, and counts columns as editors do', async () => {
    const [problem] = await problemsOf(`note,${HEADER}"é🙂\r\n🙂",0,zero,0\n`);
    expect(problem).toMatchObject({ position: { line: 3, column: 7, endLine: 3, endColumn: 11 }, value: 'zero' });
  });

  it('cuts a long value', async () => {
    const [problem] = await problemsOf(`${HEADER}0,${'x'.repeat(500)},0\n`);
    expect(problem?.value).toHaveLength(80);
  });
});

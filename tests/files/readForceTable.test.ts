import { describe, expect, it } from 'vitest';
import type { ForceTable } from '../../src/files/forceTable';
import { readForceTable } from '../../src/files/readForceTable';
import { bytesOf, onlyProblem, told } from './support';

const REFERENCE = 'specs/alder-front.refcurve.csv';
const RESULT = 'dampers/F-017/build-2/alder-front.result.csv';
const SHA = 'a'.repeat(64);

const REFERENCE_TEXT = `# formatVersion: 1
# spec: alder-front
# gas: {force: 375 N, temperature: 31 Cel, source: fit}
# stroke: 50 mm
# midPosition: 35 mm
# drive: sine
# adopted: {from: dampers/F-001/build-1/alder-front.result.csv, on: 2026-01-20, reason: "First approved unit"}
LSC [click],HSC [click],R [click],velocity [mm/s],compression [N],rebound [N],temperature [Cel]
0,0,0,100,895.4,-314.6,34.0
0,0,0,200,1200,-500,34.5
`;

const RESULT_TEXT = `# formatVersion: 1
# spec: alder-front
# serial: 017
# build: 1e3
# date: 2026-03-14T10:22:00Z
# bench: bench-1
# run: 2
# sameMounting: true
# retest: {of: 2026-03-13, reason: loose clevis}
# forceZero: unloaded
# temperatureAt: body
# method: 1
# benchIncluded: false
# source: [{path: dampers/F-017/build-2/alder-front.testlog.csv, sha256: ${SHA}}]
# inputs: {spec: ${SHA}, bench: ${SHA}}
# reference: {path: specs/alder-front.refcurve.csv, sha256: ${SHA}}
LSC [click],pass,velocity [mm/s],compression [N],rebound [N],gas [N],temperature [Cel],compressionVelocity [mm/s],reboundVelocity [mm/s],compressionU [N],reboundU [N],compressionK,reboundK,compressionDf,reboundDf,cycles,energy [J]
8,1,100,895.4,-314.6,374,34.0,100.12,99.87,3.10,3.20,2.020,2.030,41.0,40.5,4,54.100
8,2,100,890.0,,,34.0,100.12,,3.10,,2.020,,41.0,,4,54.100
`;

function tableOf(file: string, text: string): ForceTable {
  const { table, problems } = readForceTable(file, bytesOf(text));
  if (table === undefined || problems.length > 0) throw new Error(JSON.stringify(problems.map(told), null, 1));
  return table;
}

describe('reference curves', () => {
  it('arrive in SI', () => {
    expect(tableOf(REFERENCE, REFERENCE_TEXT)).toEqual({
      file: REFERENCE,
      kind: 'reference',
      formatVersion: 1,
      spec: 'alder-front',
      headerLine: 8,
      adjusters: ['LSC', 'HSC', 'R'].map((id) => ({ id, unit: 'click' })),
      basis: { drive: 'sine', stroke: 0.05, midPosition: 0.035 },
      gas: { force: 375, temperature: 304.15, source: 'fit' },
      adopted: {
        from: ['dampers/F-001/build-1/alder-front.result.csv'],
        on: '2026-01-20',
        reason: 'First approved unit',
      },
      rows: [
        {
          line: 9,
          setting: [0, 0, 0],
          pass: 1,
          velocity: 0.1,
          compression: 895.4,
          rebound: -314.6,
          temperature: 307.15,
        },
        { line: 10, setting: [0, 0, 0], pass: 1, velocity: 0.2, compression: 1200, rebound: -500, temperature: 307.65 },
      ],
    });
  });

  it.each([
    ['semicolons and decimal commas', (t: string) => body(t, (line) => line.replace(/,/g, ';').replace(/\./g, ','))],
    ['tabs', (t: string) => body(t, (line) => line.replace(/,/g, '\t'))],
    ['CRLF', (t: string) => t.replace(/\n/g, '\r\n')],
    ['a byte order mark', (t: string) => `\uFEFF${t}`],
    [
      'quoted cells',
      (t: string) =>
        body(t, (line) =>
          line
            .split(',')
            .map((cell) => `"${cell}"`)
            .join(','),
        ),
    ],
    ['blank lines and comments', (t: string) => `# a note\n\n${t}\n\n`],
    [
      'other units',
      (t: string) =>
        t
          .replace('velocity [mm/s]', 'velocity [m/s]')
          .replace(',100,895', ',0.1,895')
          .replace(',200,1200', ',0.2,1200'),
    ],
  ])('say the same with %s', (_, change) => {
    const lines = (table: ForceTable) => ({
      ...table,
      headerLine: 0,
      rows: table.rows.map((row) => ({ ...row, line: 0 })),
    });
    expect(lines(tableOf(REFERENCE, change(REFERENCE_TEXT)))).toEqual(lines(tableOf(REFERENCE, REFERENCE_TEXT)));
  });

  it('take inches and pounds-force', () => {
    const text =
      '# formatVersion: 1\n# spec: a\nvelocity [[in_i]/s],compression [k[lbf_av]],rebound [lbf]\n1,0.1,-10\n';
    const [row] = tableOf(REFERENCE, text).rows;
    // NIST SP 811: 1 in = 25.4 mm and 1 lbf = 4.4482216152605 N, both exact.
    expect(row!.velocity).toBeCloseTo(0.0254, 15);
    expect(row!.compression).toBeCloseTo(444.82216152605, 11);
    expect(row!.rebound).toBeCloseTo(-44.482216152605, 12);
  });

  it('take a spec without adjusters and a side that was not measured', () => {
    const table = tableOf(
      REFERENCE,
      '# formatVersion: 1\n# spec: a\nvelocity [mm/s],compression [N],rebound [N]\n100,500,\n',
    );
    expect(table.adjusters).toEqual([]);
    expect(table.rows[0]).toEqual({ line: 4, setting: [], pass: 1, velocity: 0.1, compression: 500, rebound: NaN });
  });
});

describe('a result', () => {
  it('arrives with its origin and uncertainty, serial and build as written', () => {
    const table = tableOf(RESULT, RESULT_TEXT);
    expect(table.result).toEqual({
      serial: '017',
      build: '1e3',
      date: '2026-03-14T10:22:00Z',
      bench: 'bench-1',
      run: 2,
      sameMounting: true,
      retest: { of: '2026-03-13', reason: 'loose clevis' },
      method: 1,
      benchIncluded: false,
      source: [{ path: 'dampers/F-017/build-2/alder-front.testlog.csv', sha256: SHA }],
      inputs: { spec: SHA, bench: SHA },
      reference: { path: 'specs/alder-front.refcurve.csv', sha256: SHA },
    });
    expect(table.rows[0]).toMatchObject({
      pass: 1,
      gas: 374,
      measured: { compressionVelocity: 0.10012, reboundU: 3.2, compressionDf: 41, cycles: 4, energy: 54.1 },
    });
    expect(table.rows[1]).toMatchObject({ pass: 2, rebound: NaN, measured: { reboundU: NaN } });
    expect(table.rows[1]).not.toHaveProperty('gas');
  });
});

/** Changes header and data, not the preamble. */
function body(text: string, change: (line: string) => string): string {
  return text
    .split('\n')
    .map((line) => (line === '' || line.startsWith('#') ? line : change(line)))
    .join('\n');
}

/** The one fault of a reference whose body is as given. */
function faultOf(lines: string, preamble = '# formatVersion: 1\n# spec: a\n'): Record<string, unknown> {
  const { table, problems } = readForceTable(REFERENCE, bytesOf(preamble + lines));
  expect(table).toBeUndefined();
  const problem = onlyProblem(problems);
  expect(problem.file).toBe(REFERENCE);
  expect(problem.remedy.length).toBeGreaterThan(10);
  return told(problem);
}

const HEADER = 'velocity [mm/s],compression [N],rebound [N]';

describe('bad input names line, column, value and remedy', () => {
  it.each([
    [
      'missing column',
      'velocity [mm/s],compresion [N],rebound [N]\n100,5,-5\n',
      { line: 3, key: 'compresion', value: 'compresion [N]', remedy: /Did you mean 'compression'/ },
    ],
    [
      'missing column without a likely one',
      'velocity [mm/s],compression [N]\n100,5\n',
      { line: 3, column: 1, key: 'rebound', value: 'velocity [mm/s], compression [N]', remedy: /Add rebound \[N\]/ },
    ],
    [
      'unknown unit',
      'velocity [mm/sec],compression [N],rebound [N]\n100,5,-5\n',
      {
        rule: 'unit-mismatch',
        line: 3,
        column: 1,
        key: 'velocity',
        value: 'velocity [mm/sec]',
        remedy: /Did you mean 'mm\/s'/,
      },
    ],
    [
      'wrong dimension',
      'velocity [mm/s],compression [mm],rebound [N]\n100,5,-5\n',
      {
        rule: 'unit-mismatch',
        line: 3,
        column: 17,
        key: 'compression',
        value: 'compression [mm]',
        message: /a force is expected/,
      },
    ],
    [
      'no unit',
      'velocity [mm/s],compression,rebound [N]\n100,5,-5\n',
      { rule: 'unit-mismatch', column: 17, key: 'compression', remedy: /compression \[N\]/ },
    ],
    [
      'a bracket of the unit taken for the header',
      'velocity [mm/s],compression [lbf_av],rebound [N]\n100,5,-5\n',
      { rule: 'unit-mismatch', key: 'compression', remedy: /compression \[\[lbf_av\]\]/ },
    ],
    [
      'duplicated column',
      `${HEADER},rebound [N]\n100,5,-5,-5\n`,
      { line: 3, column: 45, key: 'rebound', value: 'rebound [N]', message: /twice/ },
    ],
    [
      'an unknown column',
      `${HEADER},comment\n100,5,-5,x\n`,
      { line: 3, column: 45, key: 'comment', remedy: /\[click\]/ },
    ],
    ['a column without header', `${HEADER},\n100,5,-5,\n`, { line: 3, column: 45, message: /no header/ }],
    [
      'ragged row',
      `${HEADER}\n100,5,-5\n200,5\n`,
      { line: 5, column: 1, value: '200,5', message: /2 cells; the header has 3/ },
    ],
    [
      'decimal comma between commas',
      `${HEADER}\n100,5,5,-5\n`,
      { line: 4, message: /4 cells/, remedy: /decimal comma/ },
    ],
    [
      'text in a number',
      `${HEADER}\n100,5 N,-5\n`,
      { line: 4, column: 5, key: 'compression', value: '5 N', remedy: /unit stands in the header/ },
    ],
    [
      'NaN',
      `${HEADER}\n100,NaN,-5\n`,
      { line: 4, column: 5, key: 'compression', value: 'NaN', message: /not a finite number/ },
    ],
    [
      'infinity',
      `${HEADER}\n100,5,-Infinity\n`,
      { line: 4, column: 7, key: 'rebound', value: '-Infinity', message: /not a finite number/ },
    ],
    ['overflow', `${HEADER}\n100,1e999,-5\n`, { key: 'compression', value: '1e999', message: /not a finite number/ }],
    ['empty speed', `${HEADER}\n,5,-5\n`, { line: 4, column: 1, key: 'velocity', message: /empty/ }],
    [
      'signed speed',
      `${HEADER}\n-100,5,-5\n`,
      { line: 4, column: 1, key: 'velocity', value: '-100', message: /unsigned/ },
    ],
    [
      'thousands separators',
      `${HEADER.replace(/,/g, ';')}\n1.000,5;5;-5\n`,
      { line: 4, key: 'velocity', value: '1.000,5', message: /decimal/ },
    ],
    [
      'two decimal signs',
      `${HEADER.replace(/,/g, ';')}\n100,5;5,5;-5.5\n`,
      { line: 4, column: 11, key: 'rebound', value: '-5.5', message: /decimal comma/ },
    ],
    ['an open quote', `${HEADER}\n"100,5,-5\n`, { line: 4, message: /never closed/ }],
    ['header only', `${HEADER}\n`, { line: 3, message: /no data/ }],
    ['no header', '', { message: /no header row/ }],
  ])('%s', (_, lines, expected) => {
    const fault = faultOf(lines);
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
    expect(fault['rule']).toBe('rule' in expected ? expected.rule : 'file-invalid');
  });

  it.each([
    [
      'unknown key',
      '# formatVersion: 1\n# spec: a\n# strok: 50 mm\n',
      { line: 3, column: 3, value: 'strok', remedy: /Did you mean 'stroke'/ },
    ],
    [
      'bare number',
      '# formatVersion: 1\n# spec: a\n# stroke: 50\n',
      { line: 3, column: 3, key: 'stroke', value: '50', remedy: /50 mm/ },
    ],
    [
      'wrong dimension inside a map',
      '# formatVersion: 1\n# spec: a\n# gas: {force: 375 bar, source: fit}\n',
      { rule: 'unit-mismatch', line: 3, key: 'gas.force', value: '375 bar' },
    ],
    ['missing spec', '# formatVersion: 1\n', { key: 'spec', message: /'spec' is missing/ }],
    [
      'newer format',
      '# formatVersion: 2\n# spec: a\n',
      { line: 1, key: 'formatVersion', value: '2', remedy: /Update the program/ },
    ],
    [
      'key twice',
      '# formatVersion: 1\n# spec: a\n# spec: b\n',
      { line: 3, column: 3, key: 'spec', message: /second time/ },
    ],
    [
      'YAML that is none',
      '# formatVersion: 1\n# spec: a\n# gas: {force: 1 N\n',
      { line: 3, key: 'gas', message: /closing bracket/ },
    ],
    [
      'a path out of the repository',
      '# formatVersion: 1\n# spec: a\n# adopted: {from: ../../x.result.csv}\n',
      { rule: 'path-outside', line: 3, key: 'adopted.from', value: '../../x.result.csv' },
    ],
    [
      'a serial-like id with a terminal escape',
      '# formatVersion: 1\n# spec: "a\\u001b[31m"\n',
      { line: 2, column: 3, key: 'spec', message: /invisible character U\+001B/ },
    ],
    ['a direction mark', '# formatVersion: 1\n# spec: a\u202Eb\n', { line: 2, key: 'spec', message: /U\+202E/ }],
    [
      'markup',
      '# formatVersion: 1\n# spec: <b>a</b>\n',
      { line: 2, key: 'spec', value: '<b>a</b>', message: /markup/ },
    ],
  ])('preamble: %s', (_, preamble, expected) => {
    const fault = faultOf(`${HEADER}\n100,5,-5\n`, preamble);
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
  });

  it('files that are no text', () => {
    const rules = [
      bytesOf(''),
      bytesOf('version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize 99\n'),
      new Uint8Array([0xff, 0xfe, 0x76, 0]),
      new Uint8Array([1, 2, 3, 0]),
      new Uint8Array([0x1f, 0x8b, 8, 0]),
    ].map((bytes) => onlyProblem(readForceTable(REFERENCE, bytes).problems).rule);
    expect(rules).toEqual(['unreadable', 'large-file-pointer', 'unreadable', 'unreadable', 'unreadable']);
  });

  it('a result without serial', () => {
    const { table, problems } = readForceTable(
      RESULT,
      bytesOf(`# formatVersion: 1\n# spec: a\n# build: 1\n${HEADER}\n100,5,-5\n`),
    );
    expect([table, told(onlyProblem(problems))]).toMatchObject([undefined, { key: 'serial', rule: 'file-invalid' }]);
  });

  it('a result with some of the measured columns', () => {
    const { table, problems } = readForceTable(
      RESULT,
      bytesOf(`# formatVersion: 1\n# spec: a\n# serial: 1\n# build: 1\n${HEADER},cycles\n100,5,-5,4\n`),
    );
    expect(table).toBeUndefined();
    expect(problems.map((problem) => problem.column)).toEqual([
      'compressionVelocity', 'reboundVelocity', 'compressionU', 'reboundU', 'compressionK', 'reboundK', 'compressionDf', 'reboundDf', 'energy',
    ]); // prettier-ignore
  });

  it('does not flood: the first 50 faults and their number', () => {
    const { problems } = readForceTable(
      REFERENCE,
      bytesOf(`# formatVersion: 1\n# spec: a\n${HEADER}\n${'x,5,-5\n'.repeat(200)}`),
    );
    expect(problems.length).toBe(51);
    expect(problems[50]!.message).toBe('150 more faults of this file are not listed.');
  });
});

describe('a table that can be read and yet is suspect', () => {
  const read = (rows: string, preamble = '') => {
    const { table, problems } = readForceTable(
      REFERENCE,
      bytesOf(`# formatVersion: 1\n# spec: a\n${preamble}R [click],${HEADER}\n${rows}`),
    );
    return { rows: table?.rows.map((row) => row.line), problems: problems.map(told) };
  };

  it('repeated rows: the first counts', () => {
    const { rows, problems } = read('0,100,500,-300\n0,100,510,-310\n1,100,400,-300\n');
    expect(rows).toEqual([4, 6]);
    expect(problems).toMatchObject([{ rule: 'row-repeated', line: 5, key: 'velocity', value: 'line 4' }]);
    expect(problems[0]!['remedy']).toMatch(/column 'pass'/);
  });

  it('rebound written without its sign', () => {
    const { problems } = read('0,100,500,300\n0,200,800,600\n0,300,1000,900\n');
    expect(problems).toMatchObject([{ rule: 'sign-suspect', line: 6, key: 'rebound', value: '900' }]);
    expect(problems[0]!['remedy']).toMatch(/column 'rebound'/);
  });

  it('both columns the other way round', () => {
    const { problems } = read('0,100,-500,300\n0,200,-800,600\n');
    expect(problems).toMatchObject([{ rule: 'sign-suspect', line: 3, key: 'compression', value: '-500' }]);
  });

  it('one row crossed', () => {
    const { problems } = read('0,100,500,-300\n0,200,-600,800\n0,300,1000,-900\n');
    expect(problems).toMatchObject([{ rule: 'sign-suspect', line: 5, value: '-600' }]);
  });

  it('is not fooled by gas that lifts slow rebound above zero', () => {
    expect(read('0,50,700,300\n0,100,800,150\n0,300,1000,20\n').problems).toEqual([]);
  });

  it('a result named as a reference is read as what it is', () => {
    const { table, problems } = readForceTable(REFERENCE, bytesOf(RESULT_TEXT));
    expect(table?.kind).toBe('result');
    expect(problems.map(told)).toMatchObject([{ rule: 'file-kind-differs', line: 1 }]);
  });
});

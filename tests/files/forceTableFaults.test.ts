import { describe, expect, it } from 'vitest';
import { readForceTable } from '../../src/files/readForceTable';
import { HEADER, REFERENCE, RESULT, faultOf } from './forceTableTexts';
import { bytesOf, onlyProblem, told } from './support';

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

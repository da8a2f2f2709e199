import { describe, expect, it } from 'vitest';
import { readPreamble } from '../../src/files/preamble';
import { onlyProblem, told } from './support';

const read = (text: string) => readPreamble(text.split('\n'), 'a.testlog.csv');

describe('readPreamble', () => {
  it('keeps values as written, maps and lists plain, and knows where they stand', () => {
    const { entries, bodyLine, problems } = read(
      '# serial: 017\n#build: 1e3\n# setting: {LSC: 8, R: 6}\n# date: 2026-03-14T10:22:00Z\n# a comment of the bench\n#\n\ntime [s],force [N]\n# not: read\n',
    );
    expect(problems).toEqual([]);
    expect(bodyLine).toBe(8);
    expect([...entries.keys()]).toEqual(['serial', 'build', 'setting', 'date']);
    expect(entries.get('serial')).toMatchObject({ value: '017', position: { line: 1, column: 3, endColumn: 9 } });
    expect(entries.get('build')).toMatchObject({ value: '1e3', position: { line: 2, column: 2 } });
    expect({ ...(entries.get('setting')!.value as object) }).toEqual({ LSC: '8', R: '6' });
    expect(entries.get('setting')!.positionOf!(['R'])).toMatchObject({ line: 3, column: 24 });
    expect(entries.get('date')!.value).toBe('2026-03-14T10:22:00Z');
  });

  it.each([
    ['# serial: a\n# serial: b\n', { line: 2, column: 3, key: 'serial', value: '# serial: b', message: /second time/ }],
    ['# serial:\n', { line: 1, column: 3, key: 'serial', message: /no value/ }],
    ['# setting: {LSC: 8\n', { line: 1, key: 'setting', message: /closing bracket/ }],
    ['# setting: {LSC:8}\n', { line: 1, column: 13, key: 'setting', value: 'LSC:8', remedy: /'LSC: 8'/ }],
    ['# setting: {LSC: 8, LSC: 9}\n', { line: 1, column: 21, key: 'setting', value: 'LSC', message: /second time/ }],
    ['# stroke: 2 [in_i]: x\n', { line: 1, key: 'stroke', message: /Two colons/ }],
    ['# spec: *x\n', { line: 1, column: 9, key: 'spec', value: '*x', message: /refers to nothing/ }],
    ['# spec: !x y\n', { line: 1, key: 'spec', message: /Tags/ }],
    [`# a: ${'['.repeat(5000)}\n`, { line: 1, key: 'a', message: /too deeply/ }],
    ['# __proto__: 1\n', { line: 1, column: 3, message: /cannot be a key/ }],
  ])('%j', (text, expected) => {
    const fault = told(onlyProblem(read(text).problems));
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
    expect([fault['rule'], String(fault['remedy']).length > 10]).toEqual(['file-invalid', true]);
  });

  it('reads plain values without YAML as YAML reads them', () => {
    // A space behind the value sends it through YAML.
    for (const value of [
      'F-001',
      '017',
      '1e3',
      'null',
      'a b',
      '2026-03-14T10:22:00Z',
      '40 mm',
      'a/b.csv',
      '0.1 %',
      'x:y',
    ]) {
      for (const start of ['# key: ', '#key:   ']) {
        const plain = read(`${start}${value}\n`).entries.get('key')!;
        const yaml = read(`${start}${value} \n`).entries.get('key')!;
        const seen = [plain, yaml].map((entry) => [entry.value, entry.position, ...[[], ['x']].map(entry.positionOf!)]);
        expect(seen[0], value).toEqual(seen[1]);
      }
    }
  });

  it('does not read comment lines without end', () => {
    const { problems } = read('# x\n'.repeat(2000));
    expect(onlyProblem(problems).message).toMatch(/1000 lines/);
  });

  it('says that a file has no body', () => {
    expect(read('# spec: a').bodyLine).toBe(2);
    expect(read('').bodyLine).toBe(2);
  });
});

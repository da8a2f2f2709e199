import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { YAML_LIMITS } from '../../../src/files/schema/yamlGuard';
import { readYaml } from '../../../src/files/schema/yamlTree';
import { yamlFlow } from '../../../src/files/yamlText';
import { onlyProblem, told } from '../support';
import { thorough } from '../../thorough';

const read = (text: string) => readYaml('a.yaml', text, 'file-invalid');

describe('readYaml', () => {
  it('keeps every scalar as it is written', () => {
    const { tree } = read(
      'a: 017\nb: 1e3\nc: yes\nd: null\ne: ~\nf: "quoted: text"\ng: 2026-03-14\nh: 0x1F\ni: 1_000\n',
    );
    expect({ ...(tree!.value as object) }).toEqual({
      a: '017',
      b: '1e3',
      c: 'yes',
      d: 'null',
      e: '~',
      f: 'quoted: text',
      g: '2026-03-14',
      h: '0x1F',
      i: '1_000',
    });
  });

  it('knows where keys and values stand, and the nearest parent of what is absent', () => {
    const { tree } = read('a:\n  b: [1, {c: 2}]\n');
    expect(tree!.keyPosition(['a', 'b'])).toEqual({ line: 2, column: 3, endLine: 2, endColumn: 4 });
    expect(tree!.valuePosition(['a', 'b'])).toMatchObject({ line: 2, column: 6 });
    expect(tree!.keyPosition(['a', 'b', 1, 'c'])).toMatchObject({ line: 2, column: 11 });
    expect(tree!.keyPosition(['a', 'b', 7])).toMatchObject({ line: 2, column: 3 });
    expect(tree!.keyPosition(['x'])).toMatchObject({ line: 1, column: 1 });
  });

  it('takes a few aliases, as people use them to say one thing twice', () => {
    const { tree } = read('a: &band { relative: 5 % }\nb: *band\n');
    expect(JSON.parse(JSON.stringify(tree!.value))).toEqual({ a: { relative: '5 %' }, b: { relative: '5 %' } });
  });

  it('makes objects without a prototype', () => {
    expect(Object.getPrototypeOf(read('a: 1').tree!.value)).toBeNull();
  });

  const bomb = [
    'a: &a [x,x,x,x,x,x,x,x,x]',
    ...'bcdefgh'
      .split('')
      .map((name, index) => `${name}: &${name} [${Array(9).fill(`*${'abcdefg'[index]!}`).join(',')}]`),
  ].join('\n');

  it.each([
    ['alias bomb', bomb, { line: 3, message: /expands to more than/, remedy: /Write out/ }],
    ['alias of itself', 'a: &a [*a]\n', { line: 1, message: /expands to more than/ }],
    [
      'alias of nothing',
      'files: *.csv\n',
      { line: 1, column: 8, value: '*.csv', remedy: /quotation marks: "\*\.csv"/ },
    ],
    ['nested brackets', '['.repeat(200_000), { line: 1, column: YAML_LIMITS.flowDepth + 1, message: /too deeply/ }],
    ['nested dashes', '- '.repeat(20_000), { line: 1, message: /too deeply/ }],
    [
      'nested keys',
      Array.from({ length: 200 }, (_, depth) => `${' '.repeat(depth)}a:\n`).join(''),
      { message: /too deeply|expands/ },
    ],
    ['question marks', '? '.repeat(60) + 'x', { line: 1, column: 1, value: '?', message: /question mark/ }],
    ['a list as key', '[a]: b\n', { line: 1, column: 1, message: /single word/ }],
    ['a huge text', 'a: '.padEnd(YAML_LIMITS.characters + 1, 'x'), { line: 1, message: /524288/ }],
    ['many values', `a: [${'x,'.repeat(30_000)}]`, { line: 1, message: /expands to more than/ }],
    ['repeated key', 'a: 1\nb: 2\na: 3\n', { line: 3, column: 1, value: 'a', message: /second time/ }],
    ['a tag', 'a: !!python/object x\n', { line: 1, message: /Tags/ }],
    ['a directive', '%YAML 1.1\n---\na: yes\n', { line: 1, message: /directive/ }],
    ['two documents', 'a: 1\n---\nb: 1\n', { line: 2, message: /second YAML document/ }],
    ['no space behind a colon', 'a: {b:1}\n', { line: 1, column: 5, value: 'b:1', remedy: /'b: 1'/ }],
    ['__proto__', 'a:\n  __proto__: {b: 1}\n', { line: 2, column: 3, value: '__proto__' }],
    ['constructor', 'constructor: 1\n', { line: 1, column: 1, value: 'constructor' }],
    ['a unit in brackets inside braces', 'a: { stroke: 2 [in_i] }\n', { line: 1, remedy: /"2 \[in_i\]"/ }],
    ['an open quote', 'a: "x\n', { message: /quotation mark/ }],
    ['a key without value line', 'a: 1\nbc\nd: 2\n', { line: 2, column: 1, value: 'bc' }],
  ])('%s', (_, text, expected) => {
    const fault = told(onlyProblem(read(text).problems));
    for (const [key, value] of Object.entries(expected)) {
      if (value instanceof RegExp) expect(fault[key], key).toMatch(value);
      else expect(fault[key], key).toEqual(value);
    }
    expect(String(fault['remedy']).length).toBeGreaterThan(10);
  });

  it('never throws, whatever the text', () => {
    const noise = fc.array(
      fc.constantFrom(
        'a',
        ': ',
        '\n',
        '- ',
        '[',
        ']',
        '{',
        '}',
        '&x ',
        '*x',
        '"',
        "'",
        '#',
        '|',
        '>',
        '!t ',
        '? ',
        ',',
        '  ',
        '\t',
        '%',
        '---\n',
        '\u0000',
        '\u{1F600}',
      ),
      { maxLength: 60 },
    );
    fc.assert(
      fc.property(noise, (parts) => {
        const { tree, problems } = read(parts.join(''));
        expect(tree === undefined).toBe(problems.length > 0);
        for (const { position } of problems) expect(position.line).toBeGreaterThan(0);
      }),
      { seed: 3, numRuns: thorough ? 50_000 : 600 },
    );
  });
});

describe('yamlFlow', () => {
  it('writes bare what reads the same, and quotes the rest', () => {
    expect(
      yamlFlow({ a: '017', b: '2026-03-14T10:22:00Z', c: 'x: y', d: ['true', '- a'], e: undefined, f: 'a\u202Eb\n' }),
    ).toBe('{a: 017, b: 2026-03-14T10:22:00Z, c: "x: y", d: [true, "- a"], f: "a\\u202eb\\n"}');
  });

  it('is read back as it was', () => {
    const value = fc.letrec((tie) => ({
      text: fc.string({ unit: 'grapheme', maxLength: 12 }),
      list: fc.array(tie('any'), { maxLength: 3 }),
      map: fc.dictionary(
        fc.stringMatching(/^[a-zA-Z][\w.-]{0,5}$/).filter((key) => !['constructor', 'prototype'].includes(key)),
        tie('any'),
        { maxKeys: 3 },
      ),
      any: fc.oneof({ maxDepth: 3 }, tie('text'), tie('list'), tie('map')),
    })).any;
    fc.assert(
      fc.property(value, (one) => {
        const { tree, problems } = read(`key: ${yamlFlow(one)}`);
        expect(problems).toEqual([]);
        expect(JSON.parse(JSON.stringify((tree!.value as { key: unknown }).key))).toEqual(
          JSON.parse(JSON.stringify(one)),
        );
      }),
      { seed: 5, numRuns: thorough ? 20_000 : 250 },
    );
  });
});

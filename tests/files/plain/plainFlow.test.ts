import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { plainFlow } from '../../../src/files/plain/plainFlow';
import { readAnyYaml } from '../../../src/files/schema/yamlTree';
import { thorough } from '../../thorough';

/** What the short reader takes, the YAML library must read as the same; YAML 1.2 is the yardstick, the library its word. */

const numRuns = thorough ? 300_000 : 4000;
const seed = 20261125;

/** The value that the short reader finds behind `a: `, after the library was found to agree; undefined where it leaves the line. */
function agreed(value: string): unknown {
  const short = plainFlow(`a: ${value}`, 3);
  if (short === undefined) return undefined;
  const { tree, problems } = readAnyYaml('x', `a: ${value}`, 'file-invalid');
  expect(problems, value).toEqual([]);
  const whole = Object.assign(Object.create(null) as object, { a: short });
  expect(tree!.value, value).toStrictEqual(whole);
  return short;
}

const map = (entries: Record<string, unknown>): unknown => Object.assign(Object.create(null) as object, entries);

describe('a plain value', () => {
  it.each<[string, unknown]>([
    ['50 mm', '50 mm'],
    ['017', '017'],
    ['2026-03-14T10:22:00Z', '2026-03-14T10:22:00Z'],
    ['null', 'null'],
    ['{force: 380.0 N, source: fit}', map({ force: '380.0 N', source: 'fit' })],
    ['{ force: 380.0 N , source: fit }', map({ force: '380.0 N', source: 'fit' })],
    ['a, b, c-d', 'a, b, c-d'],
    ['5 %', '5 %'],
    [`"a: [b] # c, 'd"`, "a: [b] # c, 'd"],
    ['{a-b_1: "", c: "x, y"}', map({ 'a-b_1': '', c: 'x, y' })],
    ['[a.csv, b c.csv]', ['a.csv', 'b c.csv']],
    ['[{path: a/b.csv,sha256: 00}]', [map({ path: 'a/b.csv', sha256: '00' })]],
  ])('is %s', (text, value) => {
    expect(agreed(text)).toStrictEqual(value);
  });

  it.each([
    '',
    ' ',
    '"a',
    '"a\\tb"',
    '"a" b',
    '"é"',
    `a:${' '.repeat(9)}b`,
    `{${' '.repeat(9)}a: b}`,
    "'a'",
    '- a',
    '-5',
    '&a b',
    '*a',
    '!a b',
    '{a: 1, a: 2}',
    '{constructor: 1}',
    '{prototype: 1}',
    '{__proto__: 1}',
    '{}',
    '[]',
    '[a,]',
    '{a: b',
    '{a: b}}',
    '{a:b}',
    '{a}',
    '{a: }',
    '[a: b]',
    'a: b',
    'a :b',
    'a #b',
    'a  b',
    'a ',
    'a\tb',
    'é',
    '[[[[[[a]]]]]]',
    'a'.repeat(1001),
  ])('is left to the library: %s', (text) => {
    expect(plainFlow(`a: ${text}`, 3)).toBeUndefined();
  });

  it('is read as the library reads it, whatever signs stand in it', () => {
    const sign = fc.constantFrom(...Array.from('aZ09_./+%-: ,[]{}#&*!|>\'"@`?~\t\\\r=()é\u0085\u2028'));
    const piece = fc.oneof(
      { weight: 3, arbitrary: sign },
      {
        weight: 3,
        arbitrary: fc.constantFrom('force: ', '380 N', '5 %', '"a"', ', ', '{', '}', '[', ']', 'a', 'on', '1e3', '0x1'),
      },
    );
    let taken = 0;
    fc.assert(
      fc.property(fc.array(piece, { minLength: 1, maxLength: 12 }), (pieces) => {
        if (agreed(pieces.join('')) !== undefined) taken++;
      }),
      { numRuns, seed },
    );
    expect(taken).toBeGreaterThan(100);
  });

  it('is read as the library reads it where it is a tree of words', () => {
    const word = fc.stringMatching(/^[A-Za-z0-9][\w./+%:-]{0,6}( \w{1,4})?$/);
    const key = fc.stringMatching(/^[A-Za-z][A-Za-z0-9]{0,5}$/);
    const { tree } = fc.letrec<{ tree: string }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 3 },
        word,
        fc.array(tie('tree'), { minLength: 1, maxLength: 3 }).map((items) => `[${items.join(', ')}]`),
        fc
          .uniqueArray(fc.tuple(key, tie('tree')), { minLength: 1, maxLength: 3, selector: ([name]) => name })
          .map((entries) => `{${entries.map(([name, value]) => `${name}: ${value}`).join(', ')}}`),
      ),
    }));
    let taken = 0;
    fc.assert(
      fc.property(tree, (text) => {
        if (agreed(text) !== undefined) taken++;
      }),
      { numRuns: Math.ceil(numRuns / 4), seed },
    );
    expect(taken).toBeGreaterThan(numRuns / 10);
  });
});

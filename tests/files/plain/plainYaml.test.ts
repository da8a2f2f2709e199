import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { plainYaml } from '../../../src/files/plain/plainYaml';
import { readAnyYaml, readYaml } from '../../../src/files/schema/yamlTree';
import { thorough } from '../../thorough';

/** What the short reader takes of whole documents, the YAML library must read as the same, and say the same of its places. */

const runs = (numRuns: number) => ({ numRuns: thorough ? numRuns * 20 : numRuns, seed: 20261125 });

/** The value that the short reader finds, after the library was found to agree; undefined where it leaves the text. */
function agreed(text: string): unknown {
  const short = plainYaml(text);
  const long = readAnyYaml('x.yaml', text, 'file-invalid', { line: 3, column: 5 });
  const either = readYaml('x.yaml', text, 'file-invalid', { line: 3, column: 5 });
  expect(either.problems, text).toStrictEqual(long.problems);
  expect(either.tree?.value, text).toStrictEqual(long.tree?.value);
  if (short !== undefined) expect(long.tree?.value, text).toStrictEqual(short);
  for (const path of [[], ['test'], ['test', 'cycles'], ['no', 'where'], ['limits', 'band', 1]]) {
    expect(either.tree?.keyPosition(path)).toStrictEqual(long.tree?.keyPosition(path));
    expect(either.tree?.valuePosition(path)).toStrictEqual(long.tree?.valuePosition(path));
  }
  return short;
}

const SPEC = `# A spec, invented.
formatVersion: 1
id: larch-front
title: Larch trainer, front strut, three-way
hardware:
  piston: 46 mm
  valving: { compression: digressive, rebound: linear }
adjusters: # 0 = closed by finger torque
  LSC: { clicks: 12, acts: { side: compression, band: [25 mm/s, 400 mm/s] } }

test:
    velocities: [25 mm/s, { from: 100 mm/s, to: 1000 mm/s, step: 100 mm/s }]
    cycles: 3 # or 4
  # indented as it likes
tolerance:
  compression:
    relative: 5 %
reference: "larch front.refcurve.csv"
`;

describe('a plain document', () => {
  it('is what specs are', () => {
    const root = join(import.meta.dirname, '../../../samples/specs');
    const specs = readdirSync(root).filter((name) => name.endsWith('.damper.yaml'));
    expect(specs.length).toBe(3);
    for (const name of specs) expect(agreed(readFileSync(join(root, name), 'utf-8')), name).toBeDefined();
    expect(agreed(SPEC)).toBeDefined();
    expect(agreed(SPEC.replace(/\n/g, '\r\n'))).toStrictEqual(agreed(SPEC));
    expect(agreed(SPEC.trimEnd())).toStrictEqual(agreed(SPEC));
  });

  it.each([
    ['nothing', ''],
    ['comments alone', '# a\n'],
    ['a word', 'a\n'],
    ['a list', '- a\n'],
    ['a key without a value', 'a:\n'],
    ['a key without a value, then another', 'a:\nb: 1\n'],
    ['a list below a key', 'a:\n- b\n'],
    ['a value on two lines', 'a: b\n  c\n'],
    ['a key below a value', 'a: b\n  c: d\n'],
    ['an indentation that was never opened', 'a:\n    b: 1\n  c: 1\n'],
    ['an indented start', '  a: b\n'],
    ['a key twice', 'a: 1\na: 2\n'],
    ['a key twice below', 'a:\n  b: 1\n  b: 2\n'],
    ['a forbidden key', 'constructor: 1\n'],
    ['another', '__proto__:\n  a: 1\n'],
    ['two documents', 'a: 1\n---\nb: 1\n'],
    ['a directive', '%YAML 1.2\n---\na: 1\n'],
    ['a tab', 'a:\n\tb: 1\n'],
    ['a text of lines', 'a: |\n  b\n'],
    ['an anchor', 'a: &b c\n'],
    ['a bare return', 'a: b\rc: d\n'],
    ['a byte order mark', '\uFEFFa: b\n'],
    ['a line of blanks', 'a: b\n  \nc: d\n'],
    ['a comment without a blank', 'a: b#c\n'],
    ['a quotation mark in front of a comment', 'a: "b #c\n'],
    ['a hundred blanks', `a:\n${' '.repeat(130)}# c\n  b: 1\n`],
    [
      'nesting',
      Array.from({ length: 12 }, (_, depth) => `${' '.repeat(depth)}a:\n`).join('') + `${' '.repeat(12)}a: 1\n`,
    ],
    ['a long text', `a: b\n# ${'x'.repeat(20_000)}\n`],
  ])('is not %s', (_, text) => {
    expect(agreed(text)).toBeUndefined();
  });

  it('says the same as the library wherever lines are changed', () => {
    const lines = SPEC.split('\n');
    const odd = fc.constantFrom(
      ...[
        '',
        ' ',
        '  ',
        '#',
        '   # "x',
        '- a',
        '---',
        '...',
        'a',
        'a:',
        '  a:',
        '  b: 1',
        '    c: 2',
        'd: {a: 1,',
        ' e: 5 %',
        '? f',
        '&a b: 1',
      ],
      ...[
        'g: "x" # y',
        "h: it's # z",
        'i: x # "',
        'j: "a # b"',
        'k:  v',
        'l : v',
        "'m': v",
        '"n": v',
        'o-p_1: v',
        '<<: v',
        'q: - v',
        'r: a, b,',
      ],
      ...[
        's: , b',
        't: a,#b',
        'u: [a, b] # c',
        'v: {a: b}c',
        'w: é',
        'é: w',
        '# é\u0085\u2028',
        'x: \u00a0y',
        'y: a\u0007',
        'z:\ta',
        'zz: a \\',
        '%a: b',
        'test: 1',
      ],
    );
    const edit = fc.record({ at: fc.nat(lines.length), remove: fc.nat(2), insert: fc.array(odd, { maxLength: 2 }) });
    let taken = 0;
    fc.assert(
      fc.property(fc.array(edit, { minLength: 1, maxLength: 3 }), fc.boolean(), (edits, crlf) => {
        let changed = lines;
        for (const { at, remove, insert } of edits) changed = changed.toSpliced(at, remove, ...insert);
        if (agreed(changed.join(crlf ? '\r\n' : '\n')) !== undefined) taken++;
      }),
      runs(250),
    );
    expect(taken).toBeGreaterThan(20);
  });

  it('says the same as the library wherever characters are changed', () => {
    const sign = fc.constantFrom(...Array.from(' \n\r\t#:-,[]{}"\'&*!|>%@`?~=<.aZ0_é\u0085\u2028\uFEFF'));
    const edit = fc.record({ at: fc.nat(SPEC.length), remove: fc.nat(3), insert: fc.array(sign, { maxLength: 3 }) });
    let taken = 0;
    fc.assert(
      fc.property(fc.array(edit, { minLength: 1, maxLength: 2 }), (edits) => {
        let text = SPEC;
        for (const { at, remove, insert } of edits)
          text = text.slice(0, at) + insert.join('') + text.slice(at + remove);
        if (agreed(text) !== undefined) taken++;
      }),
      runs(400),
    );
    expect(taken).toBeGreaterThan(20);
  });
});

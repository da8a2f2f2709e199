import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readPlainTable } from '../../../src/files/plain/plainTable';
import { readAnyForceTable, readForceTable } from '../../../src/files/readForceTable';
import { REFERENCE, REFERENCE_TEXT, RESULT, RESULT_TEXT, SHA } from '../forceTableTexts';
import { bytesOf, copyOfTable } from '../support';
import { thorough } from '../../thorough';

/** The short way through a table against the way for every file: both must say the same of everything. */

const runs = (numRuns: number) => ({ numRuns: thorough ? numRuns * 50 : numRuns, seed: 20261125 });

/** Whether the short way took it, after both ways were found to agree: values (0 and -0 apart), places, problems and the order of keys. */
function agreed(file: string, bytes: Uint8Array): boolean {
  const read = readForceTable(file, bytes);
  const short = read.table === undefined ? read : { ...read, table: copyOfTable(read.table) };
  const long = readAnyForceTable(file, bytes);
  expect(short).toStrictEqual(long);
  expect(JSON.stringify(short)).toBe(JSON.stringify(long));
  return readPlainTable(file, bytes) !== undefined;
}

/** How many of some texts the short way took. */
function taken(texts: readonly string[], file = RESULT): number {
  return texts.filter((text) => agreed(file, bytesOf(text))).length;
}

const ADJUSTED = 'LSC [click],HSC [click],velocity [mm/s],compression [N],rebound [N],gas [N],temperature [Cel]';
const MEASURED =
  'compressionVelocity [mm/s],reboundVelocity [mm/s],compressionU [N],reboundU [N],compressionK,reboundK,compressionDf,reboundDf,cycles,energy [J]';
const HEAD = '# formatVersion: 1\n# spec: alder-front\n';
const RESULT_HEAD = `${HEAD}# serial: F-017\n# build: 2\n`;

describe('the short way through a table', () => {
  it('takes what this program writes', () => {
    const root = join(import.meta.dirname, '../../../samples');
    const paths = readdirSync(root, { recursive: true, encoding: 'utf-8' }).filter((p) => p.endsWith('.result.csv'));
    expect(paths.length).toBeGreaterThan(15);
    for (const path of paths) expect(agreed(path, new Uint8Array(readFileSync(join(root, path)))), path).toBe(true);
  });

  it('takes a result with every key and column, with either line end', () => {
    expect(taken([RESULT_TEXT, RESULT_TEXT.replace(/\n/g, '\r\n')])).toBe(2);
    expect(taken([REFERENCE_TEXT.replace(/"/g, '')], REFERENCE)).toBe(1);
  });

  it('takes as many adjusters as a header row has room for', () => {
    const letters = Array.from('ABCDEFGHIJKLMNOPQRSTUVWXYZ');
    const ids = [...letters, ...letters.flatMap((letter) => Array.from('0123456789', (digit) => `${letter}${digit}`))];
    ids.length = 245;
    const header = [...ids.map((id) => `${id} [lb]`), 'velocity [mm/s]', 'compression [N]', 'rebound [N]'].join(',');
    const row = (speed: number): string => [...ids.map((_, i) => i % 12), speed, 400 + speed, -500 - speed].join(',');
    expect(taken([`${HEAD}${header}\n${row(100)}\n${row(200)}\n`], REFERENCE)).toBe(1);
  });

  it.each([
    ['a byte order mark', (t: string) => `\uFEFF${t}`],
    ['two byte order marks', (t: string) => `\uFEFF\uFEFF${t}`],
    ['no line end at its end', (t: string) => t.slice(0, -1)],
    ['a blank line before the header', (t: string) => t.replace('LSC', '\nLSC')],
    ['a line of blanks before the header', (t: string) => t.replace('LSC', '  \nLSC')],
    ['blank lines at its end', (t: string) => `${t}\n\r\n`],
    ['a comment among the rows', (t: string) => t.replace('8,2,', '# a note\n8,2,')],
    ['a quoted cell', (t: string) => t.replace('54.100', '"54.100"')],
    ['a quoted header', (t: string) => t.replace('pass,', '"pass",')],
    ['a quotation mark that is never closed', (t: string) => t.replace('8,2,', '8,"2,')],
    ['semicolons and decimal commas', (t: string) => t.replace(/,(?! )/g, ';').replace(/(\d)\.(\d)/g, '$1,$2')],
    ['a missing column', (t: string) => t.replace('velocity [mm/s],', '')],
    ['a column twice', (t: string) => t.replace('gas [N]', 'rebound [N]')],
    ['an unknown unit', (t: string) => t.replace('velocity [mm/s]', 'velocity [furlong/s]')],
    ['no rows', (t: string) => t.slice(0, t.indexOf('\n8,1,') + 1)],
    ['a row too short', (t: string) => t.replace(',4,54.100\n8', ',4\n8')],
    ['a row too long', (t: string) => t.replace(',4,54.100\n8', ',4,54.100,\n8')],
    ['a speed of zero', (t: string) => t.replace('8,2,100,', '8,2,0,')],
    ['half a cycle', (t: string) => t.replace(',4,54.100', ',4.5,54.100')],
    ['a key twice', (t: string) => `# build: 1e3\n${t}`],
    ['an unknown key', (t: string) => `# colour: green\n${t}`],
    ['no serial', (t: string) => t.replace('# serial: 017\n', '')],
    ['the keys of a reference', (t: string) => t.replace('# serial: 017\n', '# adopted: {from: a.result.csv}\n')],
    ['a key without a value', (t: string) => t.replace('# bench: bench-1', '# bench:')],
    ['a key twice in a map', (t: string) => t.replace('{of: 2026-03-13,', '{of: 2026-03-13, of: 2026-03-14,')],
    ['an anchor', (t: string) => t.replace('of: 2026-03-13', 'of: &day 2026-03-13')],
    ['a tag', (t: string) => t.replace('bench-1', '!!str bench-1')],
    ['a comment behind a value', (t: string) => t.replace('bench-1', 'bench-1 # the old one')],
    ['a path that leads out', (t: string) => t.replace('path: dampers', 'path: ../dampers')],
    ['a NUL', (t: string) => t.replace('8,2,', '\u00008,2,')],
  ])('leaves a result with %s to the other way', (_, change) => {
    const changed = change(RESULT_TEXT);
    expect(changed).not.toBe(RESULT_TEXT);
    expect(taken([changed])).toBe(0);
  });

  it('leaves a result by the name of a reference, and the reverse, to the other way', () => {
    expect(taken([RESULT_TEXT], REFERENCE)).toBe(0);
    expect(taken([REFERENCE_TEXT.replace(/"/g, '')], RESULT)).toBe(0);
  });

  it('agrees on rows that repeat others, and on forces of the wrong sign', () => {
    const rows = (lines: string[]) => `${RESULT_HEAD}${ADJUSTED}\n${lines.join('\n')}\n`;
    const texts = [
      rows(['0,0,100,9,-9,,', '0,0,100,9,-9,,']),
      rows(['0,0,200,9,-9,,', '0,0,100,9,-9,,', '0,0,200,8,-9,,', '-0,0,200,7,-9,,']),
      rows(['1,0,100,9,-9,,', '0,0,100,9,-9,,', '1,0,100,9,-9,,']),
      rows(['0,0,100,-9,9,,', '0,0,200,-19,19,,']),
      rows(['0,0,100,9,9,,', '0,0,300,19,18,,', '1,0,100,9,-9,,', '0,0,300.5,1,18,,', '1,0,300,9,-9,,']),
      rows(['0,0,300,-9,,,', '0,0,100,1,,,', '1,0,100,1,,,', '1,0,100,,4,,', '1,0,900,-1,9,,']),
      rows(['0,0,100,9,10,,', '0,0,200,9,-9,,']),
    ];
    expect(taken(texts)).toBe(texts.length);
  });
});

/* ---- random tables, made of what is right and of what is odd ---- */

const tenths = fc.integer({ min: 1, max: 99_999 }).map((n) => (n / 10).toFixed(n % 10 === 0 ? 0 : (n % 3) + 1));
const number = fc.oneof(
  { weight: 6, arbitrary: tenths },
  { weight: 1, arbitrary: fc.double({ noNaN: true, noDefaultInfinity: true }).map(String) },
  { weight: 1, arbitrary: fc.tuple(fc.bigInt({ min: 0n, max: 10n ** 17n }), fc.nat(18)).map(decimalOf) },
);
const ODD_CELLS =
  ',-0,0,-,+,., 1,1 ,1.,.5,-.5,+5,-5,--5,1e3,1E-3,1e400,1e-400,00012,0x10,0b1,Infinity,-inf,NaN,1_000,1 000,1\u00a0,١,１２,½,−5,1.2.3,5N,#1,999999999999999,9999999999999999,0.1234567890123456,123456789012345678901234567890,\u0000,\u2028,\uFEFF1,\t1,1\r';
const oddCell = fc.constantFrom(...ODD_CELLS.split(','), '"1"', '"1', '1"', '"1,5"', '"1\n2"', '"1""2"', '1,5', '1;5');
/** One odd thing in a table of many cells is enough: with more, the two ways would never meet behind the first. */
const cell = fc.oneof(
  { weight: 400, arbitrary: tenths },
  { weight: 1, arbitrary: number },
  { weight: 1, arbitrary: oddCell },
);
const lineEnd = fc.oneof(
  { weight: 200, arbitrary: fc.constant('\n') },
  { weight: 20, arbitrary: fc.constant('\r\n') },
  { weight: 1, arbitrary: fc.constantFrom('\n\n', '\r', '', ' \n', '\n#\n', '\n# "\n', '\r\r\n', '\n,\n', '\n \n') },
);

function decimalOf([digits, decimals]: [bigint, number]): string {
  const text = digits.toString().padStart(decimals + 1, '0');
  return decimals === 0 ? text : `${text.slice(0, -decimals)}.${text.slice(-decimals)}`;
}

const GOOD_LINES =
  `date: 2026-03-14T10:22:00Z|bench: bench-1|run: 2|sameMounting: true|sameMounting: no|stroke: 50 mm|midPosition: 75 mm
drive: sine|forceZero: mounted|temperatureAt: oil|method: 1|benchIncluded: false|gas: {force: 380.0 N, temperature: 30.9 Cel, source: fit}
gas: { force: 38 daN }|inputs: {spec: ${SHA}, mapping: ${SHA}}|source: [{path: a/b c.csv, sha256: ${SHA}}, {path: d.csv, sha256: ${SHA}}]
retest: {of: 2026-03-13, reason: loose clevis}|retest: {}|source: []|reference: {path: a/../b.csv, sha256: ${SHA}}|adopted: {from: a.csv}
adopted: {from: [a.csv, b.csv], on: 2026-03-14, reason: first}`.split(/[|\n]/);
const ODD_LINES =
  `date: 2026-02-30|run: 0|run: 1.5|stroke: 50|stroke: 50 furlong|stroke: -50 mm|stroke: 1e400 mm|drive: cosine|method: 0x1
gas: {force: 380 N, force: 381 N}|gas: {force: &a 380 N}|gas: {force: !!str 380 N}|gas: {force: 'a'}|gas: {force: "380 N"}|gas: {force: 380 N # no}
gas: {force: 380 N} # yes|gas: {force: 380 N}#no|gas: {force: 380 N,}|gas: {force:380 N}|gas: {force: }|gas: {force}|gas: {}|gas: [380 N]
gas: 380 N|gas: {force: [1]}|gas: {force: 380 N, colour: red}|gas: {constructor: 1 N}|gas: {__proto__: 1 N}|gas: {force: *a}|gas: {? force: 1 N}
source: a.csv|source: [a.csv]|source: [{path: ../a.csv, sha256: ${SHA}}]|source: [{path: a.csv, sha256: A}]|source: [,]|source: [[[[[[[a]]]]]]]
inputs: {spec: ${SHA}|inputs: spec: a|inputs: [spec: a]|: a|constructor: a|__proto__: a|toString: a|réf: a|bench: réf|bench: a: b|bench: a:b
bench: - a|bench: ~|bench: null|bench: |bench:a|bench:  a b  |bench: a  b|bench: a\tb|bench: "a|bench: %a|bench: @a|bench: a\rb|bench: |`
    .split(/[|\n]/)
    .concat(
      'bench: |',
      'bench: >',
      `bench: ${'a'.repeat(99)}`,
      `bench: ${'a'.repeat(1200)}`,
      'no key',
      'bench: \u2028',
      'spec: b',
    );
const preambleLine = fc.oneof(
  { weight: 30, arbitrary: fc.constantFrom(...GOOD_LINES) },
  { weight: 1, arbitrary: fc.constantFrom(...ODD_LINES) },
);
const mark = fc.oneof(
  { weight: 60, arbitrary: fc.constant('# ') },
  { weight: 1, arbitrary: fc.constantFrom('#', '##', '#\t', '#  ', ' # ') },
);
const header = fc.oneof(
  {
    weight: 12,
    arbitrary: fc.constantFrom(ADJUSTED, `${ADJUSTED},${MEASURED}`, 'velocity [m/s],compression [kN],rebound [lbf]'),
  },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      'velocity,compression,rebound',
      `${ADJUSTED},LSC [click]`,
      'rebound [N]',
      '',
      ADJUSTED.replace(/,/g, ';'),
      `"${ADJUSTED}"`,
      `${ADJUSTED},energy [J]`,
      `${ADJUSTED},`,
      ` ${ADJUSTED} `,
    ),
  },
);
const table = fc
  .record({
    file: fc.constantFrom(RESULT, RESULT, RESULT, REFERENCE, 'a.REFCURVE.CSV'),
    start: fc.oneof({ weight: 12, arbitrary: fc.constant(RESULT_HEAD) }, { weight: 3, arbitrary: fc.constant(HEAD) }),
    preamble: fc.array(fc.tuple(mark, preambleLine), { maxLength: 4 }),
    header,
    ends: fc.array(lineEnd, { minLength: 12, maxLength: 12 }),
    rows: fc.integer({ min: 0, max: 4 }),
    cells: fc.array(cell, { minLength: 68, maxLength: 68 }),
  })
  .map(({ file, start, preamble, header: top, ends, rows, cells }) => {
    const width = top.split(/[,;]/).length;
    const lines = Array.from({ length: rows }, (_, row) => cells.slice(row * width, (row + 1) * width).join(','));
    const all = [...preamble.map(([sign, line]) => sign + line), top, ...lines];
    return { file, text: start + all.map((line, at) => line + ends[at]!).join('') };
  });

describe('the short way and the way for every file', () => {
  it('agree on random tables, and a good part of them is short', () => {
    let short = 0;
    let count = 0;
    fc.assert(
      fc.property(table, ({ file, text }) => {
        count++;
        if (agreed(file, bytesOf(text))) short++;
      }),
      runs(300),
    );
    expect(short / count).toBeGreaterThan(0.1);
    expect(short / count).toBeLessThan(0.9);
  });

  it('agree on numbers of every length', () => {
    let short = 0;
    fc.assert(
      fc.property(number, number, (a, b) => {
        const rows = `0,0,1,${a},,,\n1,1,2,,-${b},,\n`;
        if (agreed(RESULT, bytesOf(`${RESULT_HEAD}${ADJUSTED}\n${rows}`))) short++;
      }),
      runs(300),
    );
    expect(short).toBeGreaterThan(100);
  });

  it('agree when any bytes of a table are changed', () => {
    const [result, reference] = [bytesOf(RESULT_TEXT), bytesOf(REFERENCE_TEXT.replace(/"/g, ''))];
    const byte = fc.oneof(fc.nat(255), fc.constantFrom(...bytesOf('\n\r#,:;"{}[] -.0123456789eE+&*!|>%@\t')));
    const edit = fc.record({ at: fc.nat(result.length), remove: fc.nat(2), insert: fc.array(byte, { maxLength: 2 }) });
    let short = 0;
    fc.assert(
      fc.property(fc.boolean(), fc.array(edit, { minLength: 1, maxLength: 2 }), (isResult, edits) => {
        let bytes = Array.from(isResult ? result : reference);
        for (const { at, remove, insert } of edits) bytes = bytes.toSpliced(at % bytes.length, remove, ...insert);
        if (agreed(isResult ? RESULT : REFERENCE, Uint8Array.from(bytes))) short++;
      }),
      runs(300),
    );
    expect(short).toBeGreaterThan(50);
  });
});

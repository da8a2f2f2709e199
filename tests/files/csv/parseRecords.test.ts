import { describe, expect, it } from 'vitest';
import { parseCsvBlock } from '../../../src/files/csv/csvBlock';
import { parseRecords } from '../../../src/files/csv/parseRecords';

const bytesOf = (text: string) => new TextEncoder().encode(text);

describe('parseRecords', () => {
  it('splits quoted, empty and doubled-quote cells as RFC 4180, section 2 says', () => {
    const table = parseRecords('a,b\r\n"x, y","say ""no"""\r\n,\r\n', { delimiter: ',' });
    expect(table.records).toEqual([
      ['a', 'b'],
      ['x, y', 'say "no"'],
      ['', ''],
    ]);
    expect(table.problems).toEqual([]);
  });

  it('knows the line of each record past comments, blank lines and line breaks in quotes', () => {
    const table = parseRecords('# note\r\n\r\na;b\r\n"one\r\ntwo";3\r\n\r\n# more\r\n4;5', { delimiter: ';' });
    expect(table.records).toEqual([
      ['a', 'b'],
      ['one\r\ntwo', '3'],
      ['4', '5'],
    ]);
    expect(table.lines).toEqual([3, 4, 8]);
    expect(table.positionOf(1, 1)).toEqual({ line: 5, column: 6 });
    expect(table.positionOf(2, 1)).toEqual({ line: 8, column: 3 });
  });

  it('takes a # inside a row as text', () => {
    expect(parseRecords('1,#2\n3,4#5\n', { delimiter: ',' }).records).toEqual([
      ['1', '#2'],
      ['3', '4#5'],
    ]);
  });

  it('leaves a byte order mark out of the first cell', () => {
    expect(parseRecords('\uFEFFa\tb', { delimiter: '\t' }).records).toEqual([['a', 'b']]);
  });

  it('counts columns in UTF-16 units, as editors do', () => {
    const table = parseRecords('°,🙂,c\n', { delimiter: ',' });
    expect([0, 1, 2].map((cell) => table.positionOf(0, cell).column)).toEqual([1, 3, 6]);
  });

  it('finds a cell behind one with doubled quotes and delimiters', () => {
    const table = parseRecords('"a "",b"", c",2\n', { delimiter: ',' });
    expect(table.records).toEqual([['a ",b", c', '2']]);
    expect(table.positionOf(0, 1)).toEqual({ line: 1, column: 15 });
  });

  it.each([
    ['a quote left open', 'a,b\n1,"2\n3,4\n', 'never closed', { line: 2, column: 3 }, '"2'],
    ['text behind a closing quote', 'a,b\n"1"x,2\n', 'follows the closing', { line: 2, column: 1 }, '"1"x,2'],
    ['a quote inside a cell', 'a,b\r\n1,2"3\r\n', 'inside a cell', { line: 2, column: 3 }, '2"3'],
  ])('names the place of %s and keeps the records before it', (_name, text, words, position, value) => {
    const table = parseRecords(text, { delimiter: ',' });
    expect(table.records).toEqual([['a', 'b']]);
    expect(table.problems).toHaveLength(1);
    expect(table.problems[0]).toMatchObject({ position, value });
    expect(table.problems[0]?.message).toContain(words);
    expect(table.problems[0]?.remedy).not.toBe('');
  });
});

describe('parseCsvBlock', () => {
  it('says that a record goes on behind the block, and gives the complete ones', () => {
    const block = parseCsvBlock(bytesOf('1,2\n3,"4\n'), { delimiter: ',', last: false });
    expect(block).toEqual({ records: [['1', '2']], starts: [0], ends: [4], incomplete: true });
  });

  it('gives start and end of each record in bytes', () => {
    const block = parseCsvBlock(bytesOf('#é\n1,2\r\n\r\n"3\n",4'), { delimiter: ',', last: true });
    expect(block.starts).toEqual([4, 11]);
    expect(block.ends).toEqual([9, 17]);
  });
});

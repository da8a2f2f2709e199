import { describe, expect, it } from 'vitest';
import { readForceTable } from '../../src/files/readForceTable';
import { HEADER, REFERENCE, RESULT_TEXT } from './forceTableTexts';
import { bytesOf, told } from './support';

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

import { describe, expect, it } from 'vitest';
import { decodeKept, encodeKept, KeptTexts, NONE, type KeptDocument } from '../../src/session/keptDocument';
import { KeptGraph } from '../../src/session/keptGraph';
import { RowsDraft, type KeptRow } from '../../src/session/keptRows';
import { KeptStanding } from '../../src/session/keptStanding';
import type { TextPiece } from '../../src/review/toldOutcome';
import type { RowAtHand, RowsOfQuery } from '../../src/session/rowsAtHand';
import { WordTable } from '../../src/session/wordTable';

const row = (name: string, ...numbers: readonly number[]): KeptRow => ({
  words: [name, 'rule', `${name} says ±`],
  numbers,
  pieces: [`${name} ± 1\n`, ''],
});
const NOTHING: KeptRow = { words: [], numbers: [], pieces: [] };

/** A document whose nodes rest on nothing but have rows, as a draft writes them. */
function documentOf(id: string, base: string, rows: readonly (readonly [key: string, node: number, row: KeptRow])[]) {
  const draft = new RowsDraft();
  const nodes = rows.flatMap(([key, node, value], i) => [0, i, NONE, draft.add('told', key, node, value), 0, 0]);
  const document: KeptDocument = {
    ...{
      id,
      base,
      queries: ['told'],
      below: new Int32Array(0),
      values: new Map(),
      rows: draft.table(),
      looks: new Map(),
    },
    texts: KeptTexts.of(rows.map(([key]) => key)),
    nodes: Int32Array.from(nodes),
    numbers: base === '' ? new Int32Array(0) : Int32Array.from(rows, ([, node]) => node),
  };
  return decodeKept(encodeKept(document));
}

const whole = documentOf('one', '', [
  ['a', 0, row('first', 1, 2)],
  ['b', 1, NOTHING],
  ['c', 2, row('third', 3)],
]);
const change = documentOf('', 'one', [
  ['c', 2, row('other', 4, 5)],
  ['d', 3, row('first', 6)],
]);

/** All of a graph's nodes hold. */
function standingOf(graph: KeptGraph): KeptStanding {
  const standing = new KeptStanding(graph, new Map());
  standing.states.fill(1);
  return standing;
}

const text = (piece: TextPiece): string =>
  typeof piece === 'string' ? piece : new TextDecoder().decode(piece.bytes.subarray(piece.from, piece.end));

/** What the rows say that are found for keys. */
function said(graph: KeptGraph, rows: RowsOfQuery, found: Int32Array) {
  return rows.rows(found).map((one) => {
    if (one === undefined) return undefined;
    const numbers = Array.from(one.numbers).slice(one.firstNumber, one.endOfNumbers);
    return [graph.rows.words.at(one.words[one.firstWord]!), numbers, text(one.piece(0)), text(one.piece(1))];
  });
}

describe('values kept as rows', () => {
  it('are found for the keys they were kept for, in that order and in any other', () => {
    const graph = new KeptGraph(whole);
    const rows = graph.rows.ofQuery('told');
    const standing = standingOf(graph);
    const first = ['first', [1, 2], 'first ± 1\n', ''];
    const third = ['third', [3], 'third ± 1\n', ''];
    expect([...rows.find(['a', 'b', 'c'], standing)]).toEqual([0, 1, 2]);
    expect(said(graph, rows, rows.find(['a', 'b', 'c'], standing))).toEqual([first, undefined, third]);
    expect(said(graph, rows, rows.find(['c', 'x', 'a'], standing))).toEqual([third, undefined, first]);
    expect([...rows.find(['c', 'x', 'b'], standing)]).toEqual([2, NONE, 1]);
    expect([...graph.rows.ofQuery('of nobody').find(['a'], standing)]).toEqual([NONE]);
  });

  it('are not found where their node has fallen', () => {
    const graph = new KeptGraph(whole, change);
    const standing = standingOf(graph);
    standing.states[0] = 3;
    standing.states[2] = 3;
    expect([...graph.rows.ofQuery('told').find(['a', 'b', 'c'], standing)]).toEqual([NONE, 1, NONE]);
  });

  it('have those of a change in their place, whose words are numbered among all', () => {
    const graph = new KeptGraph(whole, change);
    const rows = graph.rows.ofQuery('told');
    for (const keys of [
      ['a', 'b', 'c'],
      ['a', 'b', 'c', 'd'],
    ]) {
      const found = rows.find(keys, standingOf(graph));
      expect(said(graph, rows, found)[2]).toEqual(['other', [4, 5], 'other ± 1\n', '']);
      expect(said(graph, rows, found)[3]).toEqual(keys.length > 3 ? ['first', [6], 'first ± 1\n', ''] : undefined);
    }
    const [a, d] = [rows.row(0), rows.row(rows.find(['d'], standingOf(graph))[0]!)];
    const words = ({ words: all, firstWord }: RowAtHand) => Array.from(all).slice(firstWord, firstWord + 3);
    expect(words(d)).toEqual(words(a));
    expect(graph.rowOf(2)).toEqual(row('other', 4, 5));
    expect(graph.rowOf(0)).toEqual(row('first', 1, 2));
    expect(graph.rowOf(1)).toEqual(NOTHING);
  });

  it('that end too early are refused', () => {
    const bytes = encodeKept(whole);
    for (let length = 0; length < bytes.length; length++)
      expect(() => decodeKept(bytes.subarray(0, length)), String(length)).toThrow(RangeError);
  });
});

it('an empty row is told from the one behind it, wherever it stands', () => {
  const rows: readonly (readonly [string, number, KeptRow])[] = [
    ['a', 0, NOTHING],
    ['b', 1, row('second', 1)],
  ];
  const graph = new KeptGraph(documentOf('two', '', rows), documentOf('', 'two', rows));
  const told = graph.rows.ofQuery('told');
  for (const keys of [['a', 'b'], ['a']])
    expect(said(graph, told, told.find(keys, standingOf(graph)))[0]).toBeUndefined();
  const alone = new KeptGraph(documentOf('two', '', rows));
  const ofAlone = alone.rows.ofQuery('told');
  expect(said(alone, ofAlone, ofAlone.find(['a'], standingOf(alone)))).toEqual([undefined]);
});

describe('the table of words', () => {
  const words = Array.from({ length: 400 }, (_, i) => `word ${i}${'±'.repeat(i % 3)}`);
  const draft = new RowsDraft();
  draft.add('told', 'a', 0, { words, numbers: [], pieces: [] });
  const kept = draft.table().words;

  it.each([1, 7, 150, 400])('finds %i words among those that were kept, and numbers new ones behind them', (count) => {
    const table = new WordTable(kept);
    const asked = [...words.slice(-count), 'new', 'word', ''];
    const numbers = table.numbersOf(asked);
    expect(numbers.slice(0, count)).toEqual(words.slice(-count).map((word) => words.indexOf(word)));
    expect(numbers.slice(count)).toEqual([400, 401, 402]);
    expect(numbers.map((number) => table.at(number))).toEqual(asked);
    expect([table.numbersOf(['new', words[3]!]), table.size]).toEqual([[400, 3], 403]);
  });
});

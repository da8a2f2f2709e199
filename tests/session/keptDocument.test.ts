import { describe, expect, it } from 'vitest';
import { decodeKept, encodeKept, KeptTexts, NONE, type KeptDocument } from '../../src/session/keptDocument';
import { NO_ROWS } from '../../src/session/keptRows';
import { KeptGraph } from '../../src/session/keptGraph';

const values = (texts: readonly string[]) => {
  let comma = NONE;
  return {
    json: new TextEncoder().encode(`${texts.join(',')},`),
    commas: Int32Array.from(texts, ({ length }) => (comma += length + 1)),
  };
};

/** A file, and a value that rests on it. */
const whole: KeptDocument = {
  id: 'one',
  base: '',
  queries: ['content', 'told'],
  texts: KeptTexts.of(['dampers/Å-1.csv', '12 1.5', 'result dampers/Å-1.csv']),
  nodes: Int32Array.of(0, 0, 1, NONE, 0, 0, 1, 2, NONE, 0, 0, 1),
  below: Int32Array.of(0),
  numbers: new Int32Array(0),
  values: new Map([['told', values(['{"lines":"\\u00b1"}'])]]),
  rows: NO_ROWS,
  looks: new Map([
    ['content', { keys: 'dampers/Å-1.csv', nodes: Int32Array.of(0), numbers: Float64Array.of(12, 1.5, 2 ** 50) }],
  ]),
};

/** The file changed, its value with it, and another one came. */
const change: KeptDocument = {
  id: '',
  base: 'one',
  queries: ['told', 'content'],
  texts: KeptTexts.of(['result dampers/Å-1.csv', 'dampers/Å-1.csv', '13 1.5', 'result b.csv']),
  nodes: Int32Array.of(1, 1, 2, NONE, 0, 0, 0, 0, NONE, 1, 0, 1, 0, 3, NONE, 0, 1, 2),
  below: Int32Array.of(0, 0),
  numbers: Int32Array.of(0, 1, 2),
  values: new Map([['told', values(['"b"', '"a"'])]]),
  rows: NO_ROWS,
  looks: new Map(),
};

describe('kept values as bytes', () => {
  it('are read as they were written', () => {
    for (const document of [whole, change]) {
      const read = decodeKept(encodeKept(document));
      expect({ ...read, texts: [...read.texts.ends].map((_, i) => read.texts.at(i)) }).toEqual({
        ...document,
        texts: [...document.texts.ends].map((_, i) => document.texts.at(i)),
      });
    }
  });

  it('that end too early are refused', () => {
    const bytes = encodeKept(whole);
    for (let length = 0; length < bytes.length; length++)
      expect(() => decodeKept(bytes.subarray(0, length)), String(length)).toThrow(RangeError);
  });

  it('are a graph by query and key', () => {
    const graph = new KeptGraph(whole);
    expect(graph.find('told', 'dampers/Å-1.csv')).toBeUndefined();
    expect(graph.find('of another build', 'dampers/Å-1.csv')).toBeUndefined();
    const file = graph.find('content', 'dampers/Å-1.csv')!;
    const told = graph.find('told', 'result dampers/Å-1.csv')!;
    expect([graph.textOf(file), graph.hasValue(file), graph.valueOf(told)]).toEqual(['12 1.5', false, { lines: '±' }]);
    expect([...graph.below.subarray(graph.firstBelow(told), graph.endBelow(told))]).toEqual([file]);
  });

  it('have a change laid over them, of the document that it was made for', () => {
    const graph = new KeptGraph(whole, change);
    const file = graph.find('content', 'dampers/Å-1.csv')!;
    expect([graph.textOf(file), graph.size, graph.changed]).toEqual(['13 1.5', 3, [0, 1, 2]]);
    expect(graph.valueOf(graph.find('told', 'result dampers/Å-1.csv')!)).toBe('a');
    expect(graph.valueOf(graph.find('told', 'result b.csv')!)).toBe('b');
    expect(new KeptGraph({ ...whole, id: 'two' }, change).size).toBe(2);
  });

  it('find each of many, in whatever order they are asked for', () => {
    const keys = Array.from({ length: 500 }, (_, i) => `result ${i}`);
    const many: KeptDocument = {
      ...whole,
      queries: ['told'],
      texts: KeptTexts.of(keys),
      nodes: Int32Array.from(keys.flatMap((_, i) => [0, i, NONE, i, 0, 0])),
      values: new Map([['told', values(keys.map((_, i) => String(i)))]]),
    };
    for (const order of [
      keys,
      keys.toReversed(),
      keys.filter((_, i) => i % 7 === 3),
      [...keys, 'result 500', ...keys],
    ]) {
      const graph = new KeptGraph(many);
      for (const key of order) {
        const node = graph.find('told', key);
        expect(node === undefined ? undefined : graph.valueOf(node)).toBe(
          key === 'result 500' ? undefined : Number(key.slice(7)),
        );
      }
    }
  });
});

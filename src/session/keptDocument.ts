import { bytesOf, decodeRows, encodeRows, type RowLengths } from './keptRowBytes';
import { LOOK_NUMBERS, type KeptLooks } from './keptLooks';
import type { RowTable } from './keptRows';

/**
 * Kept values as one block of bytes: what a later process takes in place of computing. A graph of nodes: a node holds as long as the nodes
 * below it do, and the lowest ones as long as their query still has the text that stands here. Lists of numbers and one block of texts,
 * as a repository has tens of thousands of nodes, and reading them as JSON took a fifth of a second run.
 */
export interface KeptDocument {
  /** Of a document that others may change: a text of its own. */
  readonly id: string;
  /** Of a change: id of the document that it changes, else ''. */
  readonly base: string;
  /** Names of queries. */
  readonly queries: readonly string[];
  /** Each text once: keys, and texts of values. */
  readonly texts: KeptTexts;
  /** {@link NODE_PARTS} numbers a node, in the order of their names below; {@link NONE} for what is not there. */
  readonly nodes: Int32Array;
  /** Numbers of nodes. */
  readonly below: Int32Array;
  /** Of a change: the number of each of its nodes among those of the document that it changes, or beyond them. */
  readonly numbers: Int32Array;
  /** By query, its values, read when one of them is asked for. */
  readonly values: ReadonlyMap<string, ValueBytes>;
  /** Values that are kept as rows. */
  readonly rows: RowTable;
  /** Of a whole one, by query, how its inputs looked, beside their texts. */
  readonly looks: ReadonlyMap<string, KeptLooks>;
}

/** Values in JSON, in ASCII alone, with a comma after each, and where each comma stands. */
export interface ValueBytes {
  readonly json: Uint8Array;
  readonly commas: Int32Array;
}

export const NODE_PARTS = 6;
/** Which of `queries`. */
export const QUERY = 0;
/** Which of `texts`. */
export const KEY = 1;
/** Which of `texts`: that of the value. */
export const TEXT = 2;
/** Which of the values of its query, or of its rows. */
export const VALUE = 3;
/** Where its part of `below` begins, and where it ends. */
export const FIRST_BELOW = 4;
export const END_BELOW = 5;
export const NONE = -1;

/** Texts one after the other, cut out where one is asked for: a second run asks for half of them. */
export class KeptTexts {
  readonly whole: string;
  /** Where each one ends in the whole. */
  readonly ends: Int32Array;
  readonly #cut: string[] = [];

  constructor(whole: string, ends: Int32Array) {
    this.whole = whole;
    this.ends = ends;
  }

  static of(texts: Iterable<string>): KeptTexts {
    const list = [...texts];
    let end = 0;
    return new KeptTexts(
      list.join(''),
      Int32Array.from(list, ({ length }) => (end += length)),
    );
  }

  /** These, and others numbered on behind them. */
  with({ whole, ends }: KeptTexts): KeptTexts {
    const all = new Int32Array(this.ends.length + ends.length);
    all.set(this.ends);
    all.set(
      ends.map((end) => this.whole.length + end),
      this.ends.length,
    );
    return new KeptTexts(this.whole + whole, all);
  }

  at(index: number): string {
    return (this.#cut[index] ??= this.whole.slice(this.#start(index), this.ends[index]));
  }

  /** Whether it is this text, without cutting it out. */
  is(index: number, text: string): boolean {
    const start = this.#start(index);
    return this.ends[index]! - start === text.length && this.whole.startsWith(text, start);
  }

  #start(index: number): number {
    return index === 0 ? 0 : this.ends[index - 1]!;
  }
}

/** What tells the parts that follow it apart: lengths, of lists in numbers and of the rest in bytes. */
interface Head {
  readonly id: string;
  readonly base: string;
  readonly queries: readonly string[];
  readonly lists: readonly number[];
  readonly texts: number;
  readonly values: readonly (readonly [query: string, bytes: number, count: number])[];
  readonly rows: RowLengths;
  readonly looks: readonly (readonly [query: string, bytes: number, count: number])[];
}

const NUMBER_BYTES = Int32Array.BYTES_PER_ELEMENT;

export function encodeKept(document: KeptDocument): Uint8Array {
  const { id, base, queries, texts, nodes, below, numbers, values } = document;
  const rows = encodeRows(document.rows);
  const encoder = new TextEncoder();
  const lookKeys = [...document.looks.values()].map(({ keys }) => encoder.encode(keys));
  const text = encoder.encode(texts.whole);
  const lists = [nodes, below, numbers, texts.ends];
  const head: Head = {
    ...{ id, base, queries, lists: lists.map(({ length }) => length), texts: text.length },
    values: [...values].map(([query, { json, commas }]) => [query, json.length, commas.length]),
    rows: rows.lengths,
    looks: [...document.looks].map(([query, { nodes }], i) => [query, lookKeys[i]!.length, nodes.length]),
  };
  const start = encoder.encode(JSON.stringify(head));
  const parts = [bytesOf(Int32Array.of(start.length)), start, ...lists.map(bytesOf), text];
  for (const { json, commas } of values.values()) parts.push(json, bytesOf(commas));
  parts.push(...rows.parts);
  [...document.looks.values()].forEach(({ nodes, numbers: looks }, i) => {
    parts.push(lookKeys[i]!, bytesOf(nodes), bytesOf(looks));
  });
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}

/** The store's own digest holds the content together. @throws for bytes of another form */
export function decodeKept(bytes: Uint8Array): KeptDocument {
  const decoder = new TextDecoder();
  let at = 0;
  const take = (length: number): Uint8Array => {
    if (!(length >= 0 && at + length <= bytes.length)) throw new RangeError('What was kept ends too early.');
    at += length;
    return bytes.subarray(at - length, at);
  };
  const numbersOf = (length = 0): Int32Array => new Int32Array(take(length * NUMBER_BYTES).slice().buffer);
  const [start = 0] = numbersOf(1);
  const head = JSON.parse(decoder.decode(take(start))) as Head;
  const [nodes, below, numbers, ends] = [0, 1, 2, 3].map((list) => numbersOf(head.lists[list])) as ListsOfFour;
  const texts = new KeptTexts(decoder.decode(take(head.texts)), ends);
  const values = new Map(
    head.values.map(([query, length, count]) => [query, { json: take(length), commas: numbersOf(count) }]),
  );
  const rows = decodeRows(head.rows, take, numbersOf);
  const looks = new Map(
    head.looks.map(([query, keys, count]) => {
      const parts = { keys: decoder.decode(take(keys)), nodes: numbersOf(count) };
      const bytes = take(count * LOOK_NUMBERS * Float64Array.BYTES_PER_ELEMENT);
      return [query, { ...parts, numbers: new Float64Array(bytes.slice().buffer) }];
    }),
  );
  return { id: head.id, base: head.base, queries: head.queries, texts, nodes, below, numbers, values, rows, looks };
}

type ListsOfFour = [nodes: Int32Array, below: Int32Array, numbers: Int32Array, ends: Int32Array];

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
  /** Each text once: names of queries, keys, and texts of values. */
  readonly texts: readonly string[];
  /** {@link NODE_PARTS} numbers a node: query, key and text as numbers of texts, number of its value, where its list in `below` begins and ends; {@link NONE} for what is not there. */
  readonly nodes: Int32Array;
  /** Numbers of nodes. */
  readonly below: Int32Array;
  /** Of a change: the number of each of its nodes among those of the document that it changes, or beyond them. */
  readonly numbers: Int32Array;
  /** By query, a JSON list of its values, read when one of them is asked for. */
  readonly values: ReadonlyMap<string, Uint8Array>;
}

export const NODE_PARTS = 6;
export const NONE = -1;
/** Between texts; none that is kept holds it. */
export const TEXT_END = '\0';

/** What tells the parts that follow it apart: lengths, of lists in numbers and of the rest in bytes. */
interface Head {
  readonly id: string;
  readonly base: string;
  readonly nodes: number;
  readonly below: number;
  readonly numbers: number;
  readonly texts: number;
  readonly values: readonly (readonly [query: string, bytes: number])[];
}

const NUMBER_BYTES = Int32Array.BYTES_PER_ELEMENT;

export function encodeKept({ id, base, texts, nodes, below, numbers, values }: KeptDocument): Uint8Array {
  const encoder = new TextEncoder();
  const text = encoder.encode(texts.join(TEXT_END));
  const head: Head = {
    ...{ id, base, nodes: nodes.length, below: below.length, numbers: numbers.length, texts: text.length },
    values: [...values].map(([query, bytes]) => [query, bytes.length]),
  };
  const start = encoder.encode(JSON.stringify(head));
  const parts = [
    ...[bytesOf(Int32Array.of(start.length)), start],
    ...[nodes, below, numbers].map(bytesOf),
    ...[text, ...values.values()],
  ];
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
  const numbersOf = (length: number): Int32Array => new Int32Array(take(length * NUMBER_BYTES).slice().buffer);
  const [start = 0] = numbersOf(1);
  const head = JSON.parse(decoder.decode(take(start))) as Head;
  const [nodes, below, numbers] = [numbersOf(head.nodes), numbersOf(head.below), numbersOf(head.numbers)];
  const texts = decoder.decode(take(head.texts)).split(TEXT_END);
  const values = new Map(head.values.map(([query, length]) => [query, take(length)]));
  return { id: head.id, base: head.base, texts, nodes, below, numbers, values };
}

function bytesOf(list: Int32Array): Uint8Array {
  return new Uint8Array(list.buffer, list.byteOffset, list.byteLength);
}

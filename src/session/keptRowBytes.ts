import type { RowColumn, RowTable } from './keptRows';

/** Lengths of the parts of a table of rows: of lists in numbers, of texts in bytes. */
export interface RowLengths {
  readonly words: readonly [ends: number, text: number];
  readonly columns: readonly (readonly [query: string, lengths: readonly number[]])[];
}

/** A table of rows as it is written: lengths for the head, and the parts behind it. */
export function encodeRows({ words, columns }: RowTable): {
  readonly lengths: RowLengths;
  readonly parts: readonly Uint8Array[];
} {
  const encoder = new TextEncoder();
  const parts: Uint8Array[] = [bytesOf(words.ends), words.text];
  const lengths = [...columns].map(([query, column]) => {
    const { nodes, ends, words: ofRows, numbers, pieces, text } = column;
    const keys = encoder.encode(column.keys);
    const lists = [nodes, ends, ofRows, numbers, pieces];
    parts.push(...lists.map(bytesOf), keys, text);
    return [query, [...lists.map(({ length }) => length), keys.length, text.length]] as const;
  });
  return { lengths: { words: [words.ends.length, words.text.length], columns: lengths }, parts };
}

/** @param take the next bytes. @param numbersOf the next numbers */
export function decodeRows(
  { words, columns }: RowLengths,
  take: (length: number) => Uint8Array,
  numbersOf: (length: number) => Int32Array,
): RowTable {
  const decoder = new TextDecoder();
  const [count, bytes] = words;
  return {
    words: { ends: numbersOf(count), text: take(bytes) },
    columns: new Map(
      columns.map(([query, [nodes = 0, ends = 0, ofRows = 0, numbers = 0, pieces = 0, keys = 0, text = 0]]) => {
        const lists = { nodes: numbersOf(nodes), ends: numbersOf(ends), words: numbersOf(ofRows) };
        const others = { numbers: numbersOf(numbers), pieces: numbersOf(pieces) };
        const column: RowColumn = { ...lists, ...others, keys: decoder.decode(take(keys)), text: take(text) };
        return [query, column];
      }),
    ),
  };
}

/** What tells two tables apart. */
export function rowBytes(table: RowTable): readonly Uint8Array[] {
  return encodeRows(table).parts;
}

export function bytesOf(list: Int32Array | Float64Array): Uint8Array {
  return new Uint8Array(list.buffer, list.byteOffset, list.byteLength);
}

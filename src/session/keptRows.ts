/**
 * A value that is kept as lists, so that thousands of them are looked at without one object being made: what a face tells of a result or
 * file. Which place in the lists means what is known to whoever made it.
 */
export interface KeptRow {
  /** Kept once each, however many rows hold them. */
  readonly words: readonly string[];
  readonly numbers: readonly number[];
  /** Texts that are long and stand in one row alone, each empty or with a line break at its end. */
  readonly pieces: readonly string[];
}

/** The rows of one query. */
export interface RowColumn {
  /** Keys of the rows, with {@link BETWEEN_KEYS} between them. */
  readonly keys: string;
  /** Number of the node of each row. */
  readonly nodes: Int32Array;
  /** Where the words of each row end, its numbers, and its pieces. */
  readonly ends: Int32Array;
  /** Which of the document's words. */
  readonly words: Int32Array;
  readonly numbers: Int32Array;
  /** Where each piece ends. */
  readonly pieces: Int32Array;
  /** Pieces in UTF-8. */
  readonly text: Uint8Array;
}

/** Words in UTF-8, with a byte between them. */
export interface WordBytes {
  readonly ends: Int32Array;
  readonly text: Uint8Array;
}

/** All rows of a document. */
export interface RowTable {
  readonly words: WordBytes;
  readonly columns: ReadonlyMap<string, RowColumn>;
}

/** No path holds it. */
export const BETWEEN_KEYS = '\0';
/** Numbers a row in `ends`. */
export const ROW_ENDS = 3;

export const NO_ROWS: RowTable = {
  words: { ends: new Int32Array(0), text: new Uint8Array(0) },
  columns: new Map(),
};

interface ColumnDraft {
  readonly keys: string[];
  readonly nodes: number[];
  readonly ends: number[];
  readonly words: number[];
  readonly numbers: number[];
  readonly pieces: number[];
  readonly texts: string[];
  bytes: number;
}

/** A table of rows in the making. */
export class RowsDraft {
  readonly #words = new Map<string, number>();
  readonly #columns = new Map<string, ColumnDraft>();

  /** @returns which row of its query it is */
  add(query: string, key: string, node: number, row: KeptRow): number {
    const column = this.#column(query);
    for (const word of row.words) column.words.push(this.#numberOf(word));
    for (const number of row.numbers) column.numbers.push(number);
    for (const piece of row.pieces) {
      column.texts.push(piece);
      column.bytes += lengthInBytes(piece);
      column.pieces.push(column.bytes);
    }
    column.ends.push(column.words.length, column.numbers.length, column.pieces.length);
    column.nodes.push(node);
    return column.keys.push(key) - 1;
  }

  table(): RowTable {
    const encoder = new TextEncoder();
    let end = -1;
    return {
      words: {
        ends: Int32Array.from(this.#words.keys(), (word) => (end += lengthInBytes(word) + 1)),
        text: encoder.encode([...this.#words.keys()].join(BETWEEN_KEYS)),
      },
      columns: new Map(
        [...this.#columns].map(([query, { keys, nodes, ends, words, numbers, pieces, texts }]) => [
          query,
          {
            keys: keys.join(BETWEEN_KEYS),
            nodes: Int32Array.from(nodes),
            ends: Int32Array.from(ends),
            words: Int32Array.from(words),
            numbers: Int32Array.from(numbers),
            pieces: Int32Array.from(pieces),
            text: encoder.encode(texts.join('')),
          },
        ]),
      ),
    };
  }

  #column(query: string): ColumnDraft {
    let column = this.#columns.get(query);
    if (column === undefined) {
      column = { keys: [], nodes: [], ends: [], words: [], numbers: [], pieces: [], texts: [], bytes: 0 };
      this.#columns.set(query, column);
    }
    return column;
  }

  #numberOf(word: string): number {
    const known = this.#words.get(word);
    if (known !== undefined) return known;
    this.#words.set(word, this.#words.size);
    return this.#words.size - 1;
  }
}

const BEYOND_ASCII = /[\u0080-\uffff]/;

function lengthInBytes(text: string): number {
  return BEYOND_ASCII.test(text) ? new TextEncoder().encode(text).length : text.length;
}

/** Where the first word, number and piece of a row stand. */
export function rowStart({ ends }: RowColumn, row: number): readonly [word: number, number: number, piece: number] {
  const at = (row - 1) * ROW_ENDS;
  return row === 0 ? [0, 0, 0] : [ends[at]!, ends[at + 1]!, ends[at + 2]!];
}

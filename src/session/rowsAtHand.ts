import type { TextPiece } from '../review/toldOutcome';
import { NONE } from './keptDocument';
import { BETWEEN_KEYS, ROW_ENDS, rowStart, type KeptRow, type RowColumn, type RowTable } from './keptRows';
import { STANDS, type KeptStanding } from './keptStanding';
import { WordTable } from './wordTable';

/** One row: where its lists begin, its words by their numbers in a {@link WordTable}. */
export interface RowAtHand {
  readonly words: ArrayLike<number>;
  readonly firstWord: number;
  readonly numbers: ArrayLike<number>;
  readonly firstNumber: number;
  readonly endOfNumbers: number;
  piece(index: number): TextPiece;
}

/** Where its lists begin is read here and not by `rowStart`, which makes a list for each of thousands of rows. */
class RowOfColumn implements RowAtHand {
  readonly words: Int32Array;
  readonly firstWord: number;
  readonly numbers: Int32Array;
  readonly firstNumber: number;
  readonly endOfNumbers: number;
  readonly column: RowColumn;
  readonly firstPiece: number;

  constructor({ column, words }: Column, row: number) {
    const { ends } = column;
    const at = ROW_ENDS * row;
    this.words = words;
    this.firstWord = row === 0 ? 0 : ends[at - ROW_ENDS]!;
    this.numbers = column.numbers;
    this.firstNumber = row === 0 ? 0 : ends[at - ROW_ENDS + 1]!;
    this.endOfNumbers = ends[at + 1]!;
    this.column = column;
    this.firstPiece = row === 0 ? 0 : ends[at - ROW_ENDS + 2]!;
  }

  piece(index: number): TextPiece {
    const { pieces, text } = this.column;
    const at = this.firstPiece + index;
    return { bytes: text, from: at === 0 ? 0 : pieces[at - 1]!, end: pieces[at]! };
  }
}

/** Which row a key has: one of the document from 0 up, one of the change from here down, or {@link NONE}. */
const FIRST_CHANGED = -2;

interface Column {
  readonly column: RowColumn;
  readonly words: Int32Array;
}

/** Rows of one query as they were kept, those of a change in place of the document's. */
export class RowsOfQuery {
  readonly #base: Column | undefined;
  readonly #change: Column | undefined;
  /** By row of the document, that of the change. */
  readonly #overlaid = new Map<number, number>();

  constructor(base: Column | undefined, change: Column | undefined) {
    this.#base = base;
    this.#change = change;
    change?.column.nodes.forEach((node, row) => {
      const before = base?.column.nodes.indexOf(node) ?? NONE;
      if (before !== NONE) this.#overlaid.set(before, row);
    });
  }

  /** Which row each key has whose node stands. */
  find(keys: readonly string[], standing: KeptStanding): Int32Array {
    const found = this.#find(keys);
    const nodes = this.#base?.column.nodes ?? new Int32Array(0);
    const { states } = standing;
    // Thousands are looked at by code that has just started, so nothing is called.
    for (let i = 0; i < found.length; i++) {
      const row = found[i]!;
      if (row >= 0 ? states[nodes[row]!] !== STANDS : row !== NONE && !standing.holds(this.nodeOf(row)))
        found[i] = NONE;
    }
    return found;
  }

  nodeOf(found: number): number {
    return found >= 0 ? this.#base!.column.nodes[found]! : this.#change!.column.nodes[FIRST_CHANGED - found]!;
  }

  row(found: number): RowAtHand {
    return found >= 0 ? new RowOfColumn(this.#base!, found) : new RowOfColumn(this.#change!, FIRST_CHANGED - found);
  }

  /** Those that were found and hold any number, by the place of their key. */
  rows(found: Int32Array): (RowAtHand | undefined)[] {
    const rows = new Array<RowAtHand | undefined>(found.length);
    for (let i = 0; i < found.length; i++) {
      const at = found[i]!;
      if (at !== NONE && !this.#isEmpty(at)) rows[i] = this.row(at);
    }
    return rows;
  }

  #isEmpty(found: number): boolean {
    const { ends } = (found >= 0 ? this.#base! : this.#change!).column;
    const at = ROW_ENDS * (found >= 0 ? found : FIRST_CHANGED - found) + 1;
    return ends[at] === (at < ROW_ENDS ? 0 : ends[at - ROW_ENDS]);
  }

  /** As it was before it was kept, by its node. */
  valueOf(node: number, table: WordTable): KeptRow {
    const changed = this.#change?.column.nodes.indexOf(node) ?? NONE;
    const { column, words } = changed === NONE ? this.#base! : this.#change!;
    const row = changed === NONE ? this.#base!.column.nodes.indexOf(node) : changed;
    const [start, end] = [rowStart(column, row), rowStart(column, row + 1)];
    const decoder = new TextDecoder();
    return {
      words: Array.from(words.subarray(start[0], end[0]), (word) => table.at(word)),
      numbers: Array.from(column.numbers.subarray(start[1], end[1])),
      pieces: Array.from(column.pieces.subarray(start[2], end[2]), (to, i) =>
        decoder.decode(column.text.subarray(start[2] + i === 0 ? 0 : column.pieces[start[2] + i - 1], to)),
      ),
    };
  }

  /** Mostly the same keys in the same order are asked for as were kept, which is seen at one look. */
  #find(keys: readonly string[]): Int32Array {
    const found = new Int32Array(keys.length);
    if (keys.join(BETWEEN_KEYS) === this.#base?.column.keys) {
      for (let row = 0; row < keys.length; row++) found[row] = row;
      for (const [before, row] of this.#overlaid) found[before] = FIRST_CHANGED - row;
      return found;
    }
    const byKey = new Map<string, number>();
    this.#keys(this.#base).forEach((key, row) => byKey.set(key, row));
    this.#keys(this.#change).forEach((key, row) => byKey.set(key, FIRST_CHANGED - row));
    keys.forEach((key, i) => (found[i] = byKey.get(key) ?? NONE));
    return found;
  }

  #keys(of: Column | undefined): readonly string[] {
    return of === undefined ? [] : of.column.keys.split(BETWEEN_KEYS);
  }
}

/** All rows that were kept, and the words of all of them, and of those that come. */
export class RowsAtHand {
  readonly words: WordTable;
  readonly #base: RowTable;
  readonly #change: RowTable | undefined;
  readonly #queries = new Map<string, RowsOfQuery>();
  /** By number of a word in the change, that in the table of all. */
  readonly #numbers: readonly number[];

  constructor(base: RowTable, change: RowTable | undefined) {
    this.#base = base;
    this.#change = change;
    this.words = new WordTable(base.words);
    const own = new WordTable(change?.words ?? { ends: new Int32Array(0), text: new Uint8Array(0) });
    this.#numbers = this.words.numbersOf(Array.from({ length: own.size }, (_, word) => own.at(word)));
  }

  has(query: string): boolean {
    return this.#base.columns.has(query) || this.#change?.columns.has(query) === true;
  }

  ofQuery(query: string): RowsOfQuery {
    const known = this.#queries.get(query);
    if (known !== undefined) return known;
    const base = this.#base.columns.get(query);
    const change = this.#change?.columns.get(query);
    const rows = new RowsOfQuery(
      base && { column: base, words: base.words },
      change && { column: change, words: change.words.map((word) => this.#numbers[word]!) },
    );
    this.#queries.set(query, rows);
    return rows;
  }

  /** A row that was not kept. */
  fresh({ words, numbers, pieces }: KeptRow): RowAtHand {
    return {
      ...{ words: this.words.numbersOf(words), firstWord: 0, numbers, firstNumber: 0, endOfNumbers: numbers.length },
      piece: (index) => pieces[index]!,
    };
  }
}

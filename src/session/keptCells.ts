import type { Cell } from './cell';

/**
 * Kept values as plain JSON: what a later process, or another thread, takes in place of computing. A value holds as long as every anchor's
 * query still has the text that stands here. Lists of numbers, as a repository has tens of thousands of anchors and a list for each of
 * them would take most of the time of a second run to read.
 */
export interface KeptDocument {
  /** Each text once: names of queries, keys, and texts of anchors. */
  readonly texts: readonly string[];
  /** Three numbers an anchor, each of a text: query, key, and the text that its value has. */
  readonly anchors: readonly number[];
  readonly values: readonly unknown[];
  /** Four numbers a value: query and key as texts, and where its anchors begin and end in `below`. */
  readonly cells: readonly number[];
  /** Which anchors are below a value, in the order in which they were read. */
  readonly below: readonly number[];
}

const ANCHOR_PARTS = 3;
const CELL_PARTS = 4;

export interface KeptAnchor {
  readonly query: string;
  readonly key: string;
  readonly text: string;
}

interface Found {
  readonly document: KeptDocument;
  /** Which value of the document it is. */
  readonly index: number;
}

/** Documents of kept values, to be looked up by query and key. */
export class KeptCells {
  readonly #found = new Map<string, Map<string, Found>>();

  /** Where two documents hold a value of one key, the later one counts. @returns false where it is no such document */
  take(document: unknown): boolean {
    if (!isDocument(document)) return false;
    const { texts, cells } = document;
    for (let index = 0; index * CELL_PARTS < cells.length; index++) {
      const query = texts[cells[index * CELL_PARTS]!]!;
      let ofQuery = this.#found.get(query);
      if (ofQuery === undefined) this.#found.set(query, (ofQuery = new Map<string, Found>()));
      ofQuery.set(texts[cells[index * CELL_PARTS + 1]!]!, { document, index });
    }
    return true;
  }

  find(query: string, key: string): { readonly value: unknown; anchors(): Iterable<KeptAnchor> } | undefined {
    const found = this.#found.get(query)?.get(key);
    return found && { value: found.document.values[found.index], anchors: () => anchorsOf(found) };
  }

  /** Every value that `isKnown` does not know, added to a document in the making. */
  carryInto(draft: KeptDraft, isKnown: (query: string, key: string) => boolean): void {
    for (const [query, cells] of this.#found)
      for (const [key, found] of cells)
        if (!isKnown(query, key)) draft.add(query, key, found.document.values[found.index], [...anchorsOf(found)]);
  }
}

/** A document in the making. */
export class KeptDraft {
  readonly #texts = new Map<string, number>();
  readonly #anchors: number[] = [];
  /** By query and text of the anchors of each key. */
  readonly #ofKey = new Map<number, number[]>();
  readonly #ofCells = new Map<Cell, number>();
  readonly #values: unknown[] = [];
  readonly #cells: number[] = [];
  readonly #below: number[] = [];

  /** Adds the value of a cell, unless it is undefined, which JSON cannot say, or something that it rests on cannot be vouched for. */
  addCell(cell: Cell, walk: number): void {
    const below: Cell[] = [];
    if (cell.value === undefined || !cell.final || !anchorsBelow(cell, walk, below)) return;
    const anchors: number[] = [];
    for (const one of below) {
      const anchor = this.#ofCells.get(one) ?? this.#newAnchor(one);
      if (anchor === undefined) return;
      anchors.push(anchor);
    }
    this.#put(cell.query.name, cell.key, cell.value, anchors);
  }

  add(query: string, key: string, value: unknown, anchors: readonly KeptAnchor[]): void {
    this.#put(
      query,
      key,
      value,
      anchors.map((anchor) => this.#anchorOf(anchor.query, anchor.key, anchor.text)),
    );
  }

  document(): KeptDocument {
    const texts = [...this.#texts.keys()];
    return { texts, anchors: this.#anchors, values: this.#values, cells: this.#cells, below: this.#below };
  }

  #put(query: string, key: string, value: unknown, anchors: readonly number[]): void {
    const from = this.#below.length;
    for (const anchor of anchors) this.#below.push(anchor);
    this.#cells.push(this.#textOf(query), this.#textOf(key), from, this.#below.length);
    this.#values.push(value);
  }

  #newAnchor(cell: Cell): number | undefined {
    const text = cell.query.anchor?.(cell.value);
    if (text === undefined) return undefined;
    const anchor = this.#anchorOf(cell.query.name, cell.key, text);
    this.#ofCells.set(cell, anchor);
    return anchor;
  }

  #anchorOf(query: string, key: string, text: string): number {
    const [ofQuery, ofKey, ofText] = [this.#textOf(query), this.#textOf(key), this.#textOf(text)];
    const known = this.#ofKey.get(ofKey) ?? [];
    this.#ofKey.set(ofKey, known);
    for (const anchor of known)
      if (this.#anchors[anchor * ANCHOR_PARTS] === ofQuery && this.#anchors[anchor * ANCHOR_PARTS + 2] === ofText)
        return anchor;
    const anchor = this.#anchors.length / ANCHOR_PARTS;
    this.#anchors.push(ofQuery, ofKey, ofText);
    known.push(anchor);
    return anchor;
  }

  #textOf(text: string): number {
    const known = this.#texts.get(text);
    if (known !== undefined) return known;
    this.#texts.set(text, this.#texts.size);
    return this.#texts.size - 1;
  }
}

/**
 * The nearest anchors below a cell, in the order in which they were read: one that was asked for because of another stands behind it.
 * @param walk another number for every call @returns false where something below has no anchor, or is not final
 */
function anchorsBelow(cell: Cell, walk: number, found: Cell[]): boolean {
  for (const read of cell.readings.cells) {
    if (read.walk === walk) continue;
    read.walk = walk;
    if (!read.final) return false;
    if (read.query.anchor !== undefined) found.push(read);
    else if (read.readings.cells.length === 0 || !anchorsBelow(read, walk, found)) return false;
  }
  return cell.readings.cells.length > 0;
}

function* anchorsOf({ document, index }: Found): Iterable<KeptAnchor> {
  const { texts, anchors, cells, below } = document;
  const to = cells[index * CELL_PARTS + 3]!;
  for (let at = cells[index * CELL_PARTS + 2]!; at < to; at++) {
    const anchor = below[at]! * ANCHOR_PARTS;
    yield { query: texts[anchors[anchor]!]!, key: texts[anchors[anchor + 1]!]!, text: texts[anchors[anchor + 2]!]! };
  }
}

/** The store's own digest holds the content together; this tells another form. */
function isDocument(value: unknown): value is KeptDocument {
  const { texts, anchors, values, cells, below } = (value ?? {}) as Partial<KeptDocument>;
  return [texts, anchors, values, cells, below].every(Array.isArray);
}

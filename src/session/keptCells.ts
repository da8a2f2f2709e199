import type { Cell } from './cell';

/**
 * Kept values as plain JSON, names and anchors by their index: what a later process, or another thread, takes in place of computing.
 * A value holds as long as every anchor's query still has the text that stands here.
 */
export interface KeptDocument {
  readonly queries: readonly string[];
  readonly anchors: readonly (readonly [query: number, key: string, text: string])[];
  readonly cells: readonly (readonly [query: number, key: string, value: unknown, anchors: readonly number[]])[];
}

export interface KeptAnchor {
  readonly query: string;
  readonly key: string;
  readonly text: string;
}

/** Documents of kept values, to be looked up by query and key. */
export class KeptCells {
  readonly #found = new Map<string, Map<string, readonly [KeptDocument, KeptDocument['cells'][number]]>>();

  /** Where two documents hold a value of one key, the later one counts. @returns false where it is no such document */
  take(document: unknown): boolean {
    if (!isDocument(document)) return false;
    const ofQueries = document.queries.map((name) => {
      const known = this.#found.get(name) ?? new Map<string, readonly [KeptDocument, KeptDocument['cells'][number]]>();
      this.#found.set(name, known);
      return known;
    });
    for (const cell of document.cells) ofQueries[cell[0]]?.set(cell[1], [document, cell]);
    return true;
  }

  find(query: string, key: string): { readonly value: unknown; anchors(): Iterable<KeptAnchor> } | undefined {
    const found = this.#found.get(query)?.get(key);
    if (found === undefined) return undefined;
    const [document, [, , value, indices]] = found;
    return { value, anchors: () => anchorsOf(document, indices) };
  }

  /** Every value that `isKnown` does not know, added to a document in the making. */
  carryInto(draft: KeptDraft, isKnown: (query: string, key: string) => boolean): void {
    for (const [query, cells] of this.#found)
      for (const [key, [document, [, , value, indices]]] of cells)
        if (!isKnown(query, key)) draft.add(query, key, value, [...anchorsOf(document, indices)]);
  }
}

/** A document in the making. */
export class KeptDraft {
  readonly #queries = new Map<string, number>();
  readonly #anchors: [number, string, string][] = [];
  readonly #indices = new Map<string, number>();
  readonly #ofCells = new Map<Cell, number>();
  readonly #cells: [number, string, unknown, readonly number[]][] = [];

  /** Adds the value of a cell, unless it is undefined, which JSON cannot say, or something that it rests on cannot be vouched for. */
  addCell(cell: Cell, walk: number): void {
    const below: Cell[] = [];
    if (cell.value === undefined || !cell.final || !anchorsBelow(cell, walk, below)) return;
    const indices: number[] = [];
    for (const one of below) {
      const index = this.#ofCells.get(one) ?? this.#newAnchor(one);
      if (index === undefined) return;
      indices.push(index);
    }
    this.#cells.push([this.#queryOf(cell.query.name), cell.key, cell.value, indices]);
  }

  add(query: string, key: string, value: unknown, anchors: readonly KeptAnchor[]): void {
    const indices = anchors.map((anchor) => this.#anchorOf(anchor.query, anchor.key, anchor.text));
    this.#cells.push([this.#queryOf(query), key, value, indices]);
  }

  document(): KeptDocument {
    return { queries: [...this.#queries.keys()], anchors: this.#anchors, cells: this.#cells };
  }

  #newAnchor(cell: Cell): number | undefined {
    const text = cell.query.anchor?.(cell.value);
    if (text === undefined) return undefined;
    const index = this.#anchorOf(cell.query.name, cell.key, text);
    this.#ofCells.set(cell, index);
    return index;
  }

  #anchorOf(query: string, key: string, text: string): number {
    const name = `${query}\n${key}\n${text}`;
    const known = this.#indices.get(name);
    if (known !== undefined) return known;
    this.#indices.set(name, this.#anchors.length);
    this.#anchors.push([this.#queryOf(query), key, text]);
    return this.#anchors.length - 1;
  }

  #queryOf(name: string): number {
    const known = this.#queries.get(name);
    if (known !== undefined) return known;
    this.#queries.set(name, this.#queries.size);
    return this.#queries.size - 1;
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

function* anchorsOf(document: KeptDocument, indices: readonly number[]): Iterable<KeptAnchor> {
  for (const index of indices) {
    const [query, key, text] = document.anchors[index]!;
    yield { query: document.queries[query]!, key, text };
  }
}

/** The store's own digest holds the content together; this tells another form. */
function isDocument(value: unknown): value is KeptDocument {
  const { queries, anchors, cells } = (value ?? {}) as Partial<KeptDocument>;
  return Array.isArray(queries) && Array.isArray(anchors) && Array.isArray(cells);
}

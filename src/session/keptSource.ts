import type { Cell } from './cell';
import {
  ANCHOR_PARTS,
  anchorAt,
  anchorsOf,
  CELL_PARTS,
  keptValue,
  type FoundKept,
  type KeptDocument,
} from './keptDocument';
import type { KeptDraft } from './keptDraft';
import type { Query } from './query';

/** What is known of an anchor within the first run. */
const UNKNOWN = 0;
const STANDS = 1;
const FALLEN = 2;

/** Kept values that an engine was given, and which of their anchors still stand. */
export class KeptSource {
  readonly #named = new Map<string, Query<unknown>>();
  #document: KeptDocument | undefined;
  /** By query and key. */
  readonly #found = new Map<string, Map<string, FoundKept>>();
  /** What is known of each anchor: within the first run it stays so. */
  #known: Uint8Array | undefined;
  #isFirst = true;

  /** @param named queries that anchors may name */
  constructor(named: Iterable<Query<unknown>>) {
    for (const query of named) {
      if (this.#named.has(query.name)) throw new Error(`Two queries are named ${query.name}.`);
      this.#named.set(query.name, query);
    }
  }

  take(document: KeptDocument): void {
    this.#document = document;
    this.#known = this.#isFirst ? new Uint8Array(document.anchors.length / ANCHOR_PARTS) : undefined;
    const { texts, cells } = document;
    for (let index = 0; index * CELL_PARTS < cells.length; index++) {
      const query = texts[cells[index * CELL_PARTS]!]!;
      let ofQuery = this.#found.get(query);
      if (ofQuery === undefined) this.#found.set(query, (ofQuery = new Map<string, FoundKept>()));
      ofQuery.set(texts[cells[index * CELL_PARTS + 1]!]!, { document, index });
    }
  }

  find(query: Query<unknown>, key: string): FoundKept | undefined {
    return this.#found.get(query.name)?.get(key);
  }

  /** From the second run on nothing is known from before. */
  endFirstRun(): void {
    this.#isFirst = false;
    this.#known = undefined;
  }

  /**
   * Whether an anchor's query still has the text that it had; undefined where that cannot be told at once.
   * @param ready the cell of a query and key, if it can be had at once
   */
  stands(anchor: number, ready: (query: Query<unknown>, key: string) => Cell | undefined): boolean | undefined {
    const before = this.#known?.[anchor] ?? UNKNOWN;
    if (before !== UNKNOWN) return before === STANDS;
    const { query: name, key, text } = anchorAt(this.#document!, anchor);
    const query = this.#named.get(name);
    if (query?.anchor === undefined) return false;
    let now: string | undefined;
    if (this.#known !== undefined && query.input !== undefined) {
      now = query.anchor(query.input(key)); // without a cell: most files are asked for in no other way
    } else {
      const cell = ready(query, key);
      if (cell === undefined) return undefined;
      now = query.anchor(cell.value);
    }
    if (this.#known !== undefined) this.#known[anchor] = now === text ? STANDS : FALLEN;
    return now === text;
  }

  /** What an anchor names, for a value whose anchors have been looked at. */
  queryOf(anchor: number): readonly [query: Query<unknown>, key: string] {
    const { query, key } = anchorAt(this.#document!, anchor);
    return [this.#named.get(query)!, key];
  }

  /** Everything that `isKnown` does not know, added to a document in the making. */
  carryInto(draft: KeptDraft, isKnown: (query: string, key: string) => boolean): void {
    for (const [query, cells] of this.#found)
      for (const [key, found] of cells)
        if (!isKnown(query, key)) draft.add(query, key, keptValue(found), anchorsOf(found));
  }
}

import type { Cell } from './cell';
import { ANCHOR_PARTS, anchorAt, anchorsOf, KeptCells, type FoundKept, type KeptDocument } from './keptCells';
import type { KeptDraft } from './keptDraft';
import type { Query } from './query';

/** What is known of an anchor within the first run. */
const UNKNOWN = 0;
const STANDS = 1;
const FALLEN = 2;

/** Kept values that an engine was given, and which of their anchors still stand. */
export class KeptSource {
  readonly #kept = new KeptCells();
  readonly #named = new Map<string, Query<unknown>>();
  /** Of each document, what is known of its anchors: within one run it stays so. */
  readonly #known = new Map<KeptDocument, Uint8Array>();
  #isFirst = true;

  /** @param named queries that anchors may name */
  constructor(named: Iterable<Query<unknown>>) {
    for (const query of named) {
      if (this.#named.has(query.name)) throw new Error(`Two queries are named ${query.name}.`);
      this.#named.set(query.name, query);
    }
  }

  take(document: unknown): boolean {
    return this.#kept.take(document);
  }

  find(query: Query<unknown>, key: string): FoundKept | undefined {
    return this.#kept.find(query.name, key);
  }

  /** From the second run on nothing is known from before. */
  endFirstRun(): void {
    this.#isFirst = false;
    this.#known.clear();
  }

  /**
   * Whether an anchor's query still has the text that it had; undefined where that cannot be told at once.
   * @param ready the cell of a query and key, if it can be had at once
   */
  stands(
    document: KeptDocument,
    anchor: number,
    ready: (query: Query<unknown>, key: string) => Cell | undefined,
  ): boolean | undefined {
    const known = this.#isFirst ? this.#knownOf(document) : undefined;
    const before = known?.[anchor] ?? UNKNOWN;
    if (before !== UNKNOWN) return before === STANDS;
    const { query: name, key, text } = anchorAt(document, anchor);
    const query = this.#named.get(name);
    if (query?.anchor === undefined) return false;
    let now: string | undefined;
    if (this.#isFirst && query.input !== undefined) {
      now = query.anchor(query.input(key)); // without a cell: most files are asked for in no other way
    } else {
      const cell = ready(query, key);
      if (cell === undefined) return undefined;
      now = query.anchor(cell.value);
    }
    if (known !== undefined) known[anchor] = now === text ? STANDS : FALLEN;
    return now === text;
  }

  queryOf(
    document: KeptDocument,
    anchor: number,
  ): { readonly query: Query<unknown>; readonly key: string } | undefined {
    const { query: name, key } = anchorAt(document, anchor);
    const query = this.#named.get(name);
    return query && { query, key };
  }

  *anchorQueries(found: FoundKept): Iterable<readonly [query: Query<unknown>, key: string]> {
    for (const { query, key } of anchorsOf(found)) yield [this.#named.get(query)!, key];
  }

  /** Everything that an engine did not ask for, added to what it keeps. */
  carryInto(draft: KeptDraft, isKnown: (name: string, key: string) => boolean): void {
    this.#kept.carryInto(draft, isKnown);
  }

  #knownOf(document: KeptDocument): Uint8Array {
    let known = this.#known.get(document);
    if (known === undefined)
      this.#known.set(document, (known = new Uint8Array(document.anchors.length / ANCHOR_PARTS)));
    return known;
  }
}

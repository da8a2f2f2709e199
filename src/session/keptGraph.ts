import {
  END_BELOW,
  FIRST_BELOW,
  KEY,
  NODE_PARTS,
  NONE,
  QUERY,
  TEXT,
  VALUE,
  type KeptDocument,
  type KeptTexts,
} from './keptDocument';
import type { KeptLooks } from './keptLooks';
import type { KeptRow } from './keptRows';
import { KeptValues } from './keptValues';
import { RowsAtHand } from './rowsAtHand';

/** Values of nodes that a change brought are numbered from here downwards: the change holds them, not the document. */
const FIRST_CHANGED = -2;

/** A kept document, with what was kept later laid over it. Nodes have numbers from 0. */
export class KeptGraph {
  /** Of the document, for changes that are laid over it later. */
  readonly id: string;
  readonly queries: readonly string[];
  /** Numbers of the nodes that are other than in the document, or new. */
  readonly changed: readonly number[];
  readonly size: number;
  /** As of `KeptDocument`. */
  readonly nodes: Int32Array;
  readonly below: Int32Array;
  readonly #texts: KeptTexts;
  readonly #values: ReadonlyMap<string, KeptValues>;
  readonly #changedValues: readonly unknown[];
  readonly rows: RowsAtHand;
  /** As of the document: not those of nodes that a change brought. */
  readonly looks: ReadonlyMap<string, KeptLooks>;
  readonly #lists: readonly NodeList[];

  /** @param change of this document; of another one it is not looked at */
  constructor(document: KeptDocument, change?: KeptDocument) {
    const merged =
      change?.base === document.id ? merge(document, change) : { ...document, changed: [], changedValues: [] };
    this.id = document.id;
    this.queries = merged.queries;
    this.changed = merged.changed;
    this.below = merged.below;
    this.#texts = merged.texts;
    this.nodes = merged.nodes;
    this.#values = new Map([...document.values].map(([query, bytes]) => [query, new KeptValues(bytes)]));
    this.#changedValues = merged.changedValues;
    this.size = merged.nodes.length / NODE_PARTS;
    this.looks = document.looks;
    this.rows = new RowsAtHand(document.rows, change?.base === document.id ? change.rows : undefined);
    this.#lists = this.#listNodes();
  }

  /** Which of `queries` a node is of. */
  queryOf(node: number): number {
    return this.nodes[node * NODE_PARTS + QUERY]!;
  }

  keyOf(node: number): string {
    return this.#texts.at(this.nodes[node * NODE_PARTS + KEY]!);
  }

  textOf(node: number): string | undefined {
    const text = this.nodes[node * NODE_PARTS + TEXT]!;
    return text === NONE ? undefined : this.#texts.at(text);
  }

  hasValue(node: number): boolean {
    return this.nodes[node * NODE_PARTS + VALUE] !== NONE;
  }

  valueOf(node: number): unknown {
    const value = this.nodes[node * NODE_PARTS + VALUE]!;
    if (value <= FIRST_CHANGED) return this.#changedValues[FIRST_CHANGED - value];
    return this.#values.get(this.queries[this.queryOf(node)]!)!.at(value);
  }

  /** The row of a node whose query has rows. */
  rowOf(node: number): KeptRow | undefined {
    const query = this.queries[this.queryOf(node)]!;
    return this.rows.has(query) ? this.rows.ofQuery(query).valueOf(node, this.rows.words) : undefined;
  }

  /** Where the nodes below one begin in `below`. */
  firstBelow(node: number): number {
    return this.nodes[node * NODE_PARTS + FIRST_BELOW]!;
  }

  /** Where they end. */
  endBelow(node: number): number {
    return this.nodes[node * NODE_PARTS + END_BELOW]!;
  }

  /**
   * Most are asked for in the order in which they were kept: the next one is looked at first. Of the others a few are looked for one by one,
   * as a map of all of them takes as long as the rest of a second run.
   */
  find(query: string, key: string): number | undefined {
    const list = this.#lists[this.queries.indexOf(query)];
    if (list === undefined) return undefined;
    const next = list.nodes[list.next];
    if (next !== undefined && this.#isOf(next, key)) {
      list.next += 1;
      return next;
    }
    if (list.byKey === undefined && list.searched < MOST_SEARCHED) {
      list.searched += 1;
      const at = list.nodes.findIndex((node) => this.#isOf(node, key));
      if (at >= 0) list.next = at + 1;
      return list.nodes[at];
    }
    list.byKey ??= new Map(list.nodes.map((node) => [this.keyOf(node), node]));
    return list.byKey.get(key);
  }

  #isOf(node: number, key: string): boolean {
    return this.#texts.is(this.nodes[node * NODE_PARTS + KEY]!, key);
  }

  #listNodes(): readonly NodeList[] {
    const lists = this.queries.map((): NodeList => ({ nodes: [], next: 0, searched: 0, byKey: undefined }));
    for (let node = 0; node < this.size; node++) lists[this.nodes[node * NODE_PARTS + QUERY]!]!.nodes.push(node);
    return lists;
  }
}

const MOST_SEARCHED = 32;

/** The nodes of one query. */
interface NodeList {
  readonly nodes: number[];
  /** Where the node after the one that was found last stands. */
  next: number;
  searched: number;
  byKey: ReadonlyMap<string, number> | undefined;
}

type Merged = Pick<KeptDocument, 'queries' | 'texts' | 'nodes' | 'below'> & {
  readonly changed: readonly number[];
  readonly changedValues: readonly unknown[];
};

/** @throws for a change of another form */
function merge(document: KeptDocument, change: KeptDocument): Merged {
  const queries = [...new Set([...document.queries, ...change.queries])];
  const changed = [...change.numbers];
  const size = changed.reduce((most, number) => Math.max(most, number + 1), document.nodes.length / NODE_PARTS);
  const nodes = new Int32Array(size * NODE_PARTS);
  nodes.set(document.nodes);
  const changedValues: unknown[] = [];
  const values = change.queries.map((query) => {
    const bytes = change.values.get(query);
    return bytes && new KeptValues(bytes);
  });
  const firstText = document.texts.ends.length;
  const firstBelow = document.below.length;
  changed.forEach((number, i) => {
    const part = (which: number): number => change.nodes[i * NODE_PARTS + which]!;
    const textAt = (which: number): number => (part(which) === NONE ? NONE : firstText + part(which));
    const isRow = change.rows.columns.has(change.queries[part(QUERY)]!);
    const value = part(VALUE) === NONE || isRow ? part(VALUE) : FIRST_CHANGED - changedValues.length;
    if (value !== NONE && !isRow) changedValues.push(values[part(QUERY)]!.at(part(VALUE)));
    const query = queries.indexOf(change.queries[part(QUERY)]!);
    nodes.set(
      [query, textAt(KEY), textAt(TEXT), value, firstBelow + part(FIRST_BELOW), firstBelow + part(END_BELOW)],
      number * NODE_PARTS,
    );
  });
  const below = new Int32Array(firstBelow + change.below.length);
  below.set(document.below);
  below.set(change.below, firstBelow);
  return { queries, texts: document.texts.with(change.texts), nodes, below, changed, changedValues };
}

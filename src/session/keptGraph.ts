import type { KeptTexts } from './keptDocument';
import { NODE_PARTS, NONE, type KeptDocument } from './keptDocument';

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
  readonly #bytes: KeptDocument['values'];
  readonly #values = new Map<string, readonly unknown[]>();
  readonly #changedValues: readonly unknown[];
  readonly #byKey = new Map<string, ReadonlyMap<string, number>>();

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
    this.#bytes = document.values;
    this.#changedValues = merged.changedValues;
    this.size = merged.nodes.length / NODE_PARTS;
  }

  /** Which of `queries` a node is of. */
  queryOf(node: number): number {
    return this.nodes[node * NODE_PARTS]!;
  }

  keyOf(node: number): string {
    return this.#texts.at(this.nodes[node * NODE_PARTS + 1]!);
  }

  textOf(node: number): string | undefined {
    const text = this.nodes[node * NODE_PARTS + 2]!;
    return text === NONE ? undefined : this.#texts.at(text);
  }

  hasValue(node: number): boolean {
    return this.nodes[node * NODE_PARTS + 3] !== NONE;
  }

  valueOf(node: number): unknown {
    const value = this.nodes[node * NODE_PARTS + 3]!;
    if (value <= FIRST_CHANGED) return this.#changedValues[FIRST_CHANGED - value];
    return this.#valuesOf(this.queries[this.queryOf(node)]!)[value];
  }

  /** Where the nodes below one begin in `below`. */
  firstBelow(node: number): number {
    return this.nodes[node * NODE_PARTS + 4]!;
  }

  /** Where they end. */
  endBelow(node: number): number {
    return this.nodes[node * NODE_PARTS + 5]!;
  }

  find(query: string, key: string): number | undefined {
    return this.#nodesOf(query).get(key);
  }

  #valuesOf(query: string): readonly unknown[] {
    let values = this.#values.get(query);
    if (values === undefined) {
      values = JSON.parse(new TextDecoder().decode(this.#bytes.get(query))) as readonly unknown[];
      this.#values.set(query, values);
    }
    return values;
  }

  /** By key; made where it is asked for, as nothing asks for most queries of a second run. */
  #nodesOf(name: string): ReadonlyMap<string, number> {
    const known = this.#byKey.get(name);
    if (known !== undefined) return known;
    const query = this.queries.indexOf(name);
    const nodes = new Map<string, number>();
    for (let node = 0; node < this.size; node++) if (this.queryOf(node) === query) nodes.set(this.keyOf(node), node);
    this.#byKey.set(name, nodes);
    return nodes;
  }
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
    return bytes === undefined ? [] : (JSON.parse(new TextDecoder().decode(bytes)) as unknown[]);
  });
  const firstText = document.texts.ends.length;
  const firstBelow = document.below.length;
  changed.forEach((number, i) => {
    const part = (which: number): number => change.nodes[i * NODE_PARTS + which]!;
    const textAt = (which: number): number => (part(which) === NONE ? NONE : firstText + part(which));
    const value = part(3) === NONE ? NONE : FIRST_CHANGED - changedValues.length;
    if (value !== NONE) changedValues.push(values[part(0)]![part(3)]);
    const query = queries.indexOf(change.queries[part(0)]!);
    nodes.set([query, textAt(1), textAt(2), value, firstBelow + part(4), firstBelow + part(5)], number * NODE_PARTS);
  });
  const below = new Int32Array(firstBelow + change.below.length);
  below.set(document.below);
  below.set(change.below, firstBelow);
  return { queries, texts: document.texts.with(change.texts), nodes, below, changed, changedValues };
}

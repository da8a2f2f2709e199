import { NODE_PARTS, NONE, type KeptDocument } from './keptDocument';

/** Values of nodes that a change brought are numbered from here downwards: the change holds them, not the document. */
const FIRST_CHANGED = -2;

/** A kept document, with what was kept later laid over it. Nodes have numbers from 0. */
export class KeptGraph {
  /** Of the document, for changes that are laid over it later. */
  readonly id: string;
  /** Numbers of the nodes that are other than in the document, or new. */
  readonly changed: readonly number[];
  readonly size: number;
  readonly below: Int32Array;
  readonly #texts: readonly string[];
  readonly #nodes: Int32Array;
  readonly #bytes: KeptDocument['values'];
  readonly #values = new Map<string, readonly unknown[]>();
  readonly #changedValues: readonly unknown[];
  readonly #numbers = new Map<string, ReadonlyMap<string, number>>();

  /** @param change of this document; of another one it is not looked at */
  constructor(document: KeptDocument, change?: KeptDocument) {
    const { id, texts, nodes, below, values } = document;
    this.id = id;
    this.#bytes = values;
    const merged = change?.base === id ? merge(document, change) : { texts, nodes, below, changed: [], values: [] };
    this.changed = merged.changed;
    this.below = merged.below;
    this.#texts = merged.texts;
    this.#nodes = merged.nodes;
    this.#changedValues = merged.values;
    this.size = merged.nodes.length / NODE_PARTS;
  }

  queryOf(node: number): string {
    return this.#texts[this.#nodes[node * NODE_PARTS]!]!;
  }

  keyOf(node: number): string {
    return this.#texts[this.#nodes[node * NODE_PARTS + 1]!]!;
  }

  textOf(node: number): string | undefined {
    const text = this.#nodes[node * NODE_PARTS + 2]!;
    return text === NONE ? undefined : this.#texts[text];
  }

  hasValue(node: number): boolean {
    return this.#nodes[node * NODE_PARTS + 3] !== NONE;
  }

  valueOf(node: number): unknown {
    const value = this.#nodes[node * NODE_PARTS + 3]!;
    if (value <= FIRST_CHANGED) return this.#changedValues[FIRST_CHANGED - value];
    return this.#valuesOf(this.queryOf(node))[value];
  }

  /** Where the nodes below one begin in `below`. */
  firstBelow(node: number): number {
    return this.#nodes[node * NODE_PARTS + 4]!;
  }

  /** Where they end. */
  endBelow(node: number): number {
    return this.#nodes[node * NODE_PARTS + 5]!;
  }

  find(query: string, key: string): number | undefined {
    return this.#numbersOf(query).get(key);
  }

  /** Every node of a query. */
  nodesOf(query: string): Iterable<number> {
    return this.#numbersOf(query).values();
  }

  #valuesOf(query: string): readonly unknown[] {
    let values = this.#values.get(query);
    if (values === undefined) {
      values = JSON.parse(new TextDecoder().decode(this.#bytes.get(query))) as readonly unknown[];
      this.#values.set(query, values);
    }
    return values;
  }

  /** By key; made where it is asked for, as most queries of a second run are asked for nothing. */
  #numbersOf(query: string): ReadonlyMap<string, number> {
    const known = this.#numbers.get(query);
    if (known !== undefined) return known;
    const numbers = new Map<string, number>();
    for (let node = 0; node < this.size; node++) if (this.queryOf(node) === query) numbers.set(this.keyOf(node), node);
    this.#numbers.set(query, numbers);
    return numbers;
  }
}

interface Merged {
  readonly texts: readonly string[];
  readonly nodes: Int32Array;
  readonly below: Int32Array;
  readonly changed: readonly number[];
  readonly values: readonly unknown[];
}

/** @throws for a change of another form */
function merge(document: KeptDocument, change: KeptDocument): Merged {
  const numbers = [...change.numbers];
  const size = Math.max(document.nodes.length / NODE_PARTS, ...numbers.map((number) => number + 1));
  const nodes = new Int32Array(size * NODE_PARTS);
  nodes.set(document.nodes);
  const values: unknown[] = [];
  const ofQuery = new Map<string, unknown[]>();
  for (const [query, bytes] of change.values)
    ofQuery.set(query, JSON.parse(new TextDecoder().decode(bytes)) as unknown[]);
  const moved = (text: number): number => (text === NONE ? NONE : document.texts.length + text);
  const start = document.below.length;
  numbers.forEach((number, i) => {
    const part = (which: number): number => change.nodes[i * NODE_PARTS + which]!;
    const value = part(3);
    let own = NONE;
    if (value !== NONE) {
      own = FIRST_CHANGED - values.length;
      values.push(ofQuery.get(change.texts[part(0)]!)![value]);
    }
    const texts = [moved(part(0)), moved(part(1)), moved(part(2))];
    nodes.set([...texts, own, start + part(4), start + part(5)], number * NODE_PARTS);
  });
  const below = new Int32Array(document.below.length + change.below.length);
  below.set(document.below);
  below.set(change.below, document.below.length);
  return { texts: [...document.texts, ...change.texts], nodes, below, changed: numbers, values };
}

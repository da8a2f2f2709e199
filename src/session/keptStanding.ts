import { AbortedError } from '../ports/abort';
import { END_BELOW, FIRST_BELOW, NODE_PARTS } from './keptDocument';
import type { KeptGraph } from './keptGraph';
import type { Query } from './query';

const UNKNOWN = 0;
export const STANDS = 1;
/** Something below it is other than it was. */
const OPEN = 2;
const FALLEN = 3;

/** Brings a value up to date. */
export type Compute = (query: Query<unknown>, key: string) => Promise<unknown>;

/**
 * Which nodes of kept values still hold. What an edit does not touch is seen to hold without a look at any value; what it may have touched
 * is computed again where something else rests on it, and holds where it is as it was, so that nothing above it falls.
 */
export class KeptStanding {
  readonly #graph: KeptGraph;
  /** By number of the graph; undefined for what is no longer named. */
  readonly #queries: readonly (Query<unknown> | undefined)[];
  /** By node. */
  readonly states: Uint8Array;
  /** Nodes after those below them. */
  readonly #open: number[] = [];

  constructor(graph: KeptGraph, named: ReadonlyMap<string, Query<unknown>>) {
    this.#graph = graph;
    this.#queries = graph.queries.map((name) => named.get(name));
    this.states = new Uint8Array(graph.size);
  }

  holds(node: number): boolean {
    return this.states[node] === STANDS;
  }

  /** @throws AbortedError */
  async settle(compute: Compute): Promise<void> {
    this.#settleLooks();
    await this.#settleLowest(compute);
    this.#settleOthers();
    if (this.#open.length === 0) return;
    const isRead = this.#read();
    for (const node of this.#open)
      this.states[node] =
        this.#allBelowStand(node) || (isRead[node] === 1 && (await this.#isAsItWas(node, compute))) ? STANDS : FALLEN;
  }

  /** Inputs that are told by how they look: nearly all files. What a change brought is told by its text, as all others are. */
  #settleLooks(): void {
    const { looks, changed } = this.#graph;
    this.#graph.queries.forEach((name, i) => {
      const kept = looks.get(name);
      const same = kept && this.#queries[i]?.looks?.compare(kept.keys, kept.numbers);
      if (same === undefined) return;
      for (let at = 0; at < same.length; at++) this.states[kept!.nodes[at]!] = same[at] === 1 ? STANDS : FALLEN;
    });
    for (const node of changed) this.states[node] = UNKNOWN;
  }

  /** Nodes with nothing below them: most of them files, and looked at without waiting. */
  async #settleLowest(compute: Compute): Promise<void> {
    const graph = this.#graph;
    const { nodes } = graph;
    const { states } = this;
    for (let node = 0; node < graph.size; node++) {
      if (states[node] !== UNKNOWN || nodes[node * NODE_PARTS + FIRST_BELOW]! < nodes[node * NODE_PARTS + END_BELOW]!)
        continue;
      const query = this.#queries[graph.queryOf(node)];
      const text = graph.textOf(node);
      let stands: boolean;
      if (query?.input === undefined) stands = await this.#isAsItWas(node, compute);
      else stands = text !== undefined && query.anchor?.(query.input(graph.keyOf(node))) === text;
      this.states[node] = stands ? STANDS : FALLEN;
    }
  }

  /**
   * In the order of their numbers nearly all have those below them behind them. Tens of thousands are looked at by code that has just
   * started, so the lists are at hand and nothing is called.
   */
  #settleOthers(): void {
    const { nodes, below, size } = this.#graph;
    const states = this.states;
    for (let node = 0; node < size; node++) {
      if (states[node] !== UNKNOWN) continue;
      const end = nodes[node * NODE_PARTS + END_BELOW]!;
      let at = nodes[node * NODE_PARTS + FIRST_BELOW]!;
      while (at < end && states[below[at]!] === STANDS) at++;
      if (at === end) states[node] = STANDS;
      else this.#visit(node);
    }
  }

  #visit(node: number): void {
    const { below } = this.#graph;
    this.states[node] = FALLEN; // should anything rest on itself
    const end = this.#graph.endBelow(node);
    let stands = true;
    for (let at = this.#graph.firstBelow(node); at < end; at++) {
      const one = below[at]!;
      if (this.states[one] === UNKNOWN) this.#visit(one);
      if (this.states[one] !== STANDS) stands = false;
    }
    this.states[node] = stands ? STANDS : OPEN;
    if (!stands) this.#open.push(node);
  }

  #allBelowStand(node: number): boolean {
    const end = this.#graph.endBelow(node);
    for (let at = this.#graph.firstBelow(node); at < end; at++)
      if (this.states[this.#graph.below[at]!] !== STANDS) return false;
    return true;
  }

  /** Which open nodes others rest on, which then are open as well. */
  #read(): Uint8Array {
    const { below } = this.#graph;
    const isRead = new Uint8Array(this.#graph.size);
    for (const node of this.#open)
      for (let at = this.#graph.firstBelow(node); at < this.#graph.endBelow(node); at++) isRead[below[at]!] = 1;
    return isRead;
  }

  async #isAsItWas(node: number, compute: Compute): Promise<boolean> {
    const graph = this.#graph;
    const query = this.#queries[graph.queryOf(node)];
    const text = graph.textOf(node);
    if (query === undefined || (text === undefined && !graph.hasValue(node))) return false;
    try {
      const value = await compute(query, graph.keyOf(node));
      return text === undefined ? query.same(graph.valueOf(node), value) : query.anchor?.(value) === text;
    } catch (error) {
      if (error instanceof AbortedError) throw error;
      return false; // it is met again where it is needed
    }
  }
}

import type { Cell, CellsOfQuery } from './cell';
import { NONE, type KeptDocument } from './keptDocument';
import { KeptDraft } from './keptDraft';
import type { KeptGraph } from './keptGraph';
import { NO_ROWS } from './keptRows';
import { KeptStanding, type Compute } from './keptStanding';
import type { Query } from './query';
import { RowsAtHand, type RowsOfQuery } from './rowsAtHand';

/** Above this share of changed values, everything is kept anew. */
const MOST_CHANGED = 1 / 8;

/** All cells of an engine. */
type Cells = readonly CellsOfQuery[];

/** What an earlier process kept, as the cells of an engine take it over, and what the next one is to find. */
export class KeptCells {
  readonly #named: ReadonlyMap<string, Query<unknown>>;
  #rows: RowsAtHand | undefined;
  /** Rows that were asked for, and which of them still hold. */
  readonly #foundRows: { readonly rows: RowsOfQuery; readonly found: Int32Array }[] = [];
  /** What was kept, and what of it still holds. */
  #kept: { readonly graph: KeptGraph; readonly standing: KeptStanding } | undefined;

  /** @param named queries whose values kept values may rest on */
  constructor(named: readonly Query<unknown>[]) {
    this.#named = new Map(named.map((query) => [query.name, query]));
    if (this.#named.size < named.length) throw new Error('Two queries bear one name.');
  }

  take(graph: KeptGraph): void {
    this.#kept = { graph, standing: new KeptStanding(graph, this.#named) };
  }

  /** Finds out what still holds. @throws AbortedError */
  async settle(compute: Compute): Promise<void> {
    await this.#kept?.standing.settle(compute);
  }

  get rows(): RowsAtHand {
    return (this.#rows ??= this.#kept?.graph.rows ?? new RowsAtHand(NO_ROWS, undefined));
  }

  /** Which row each key has whose node holds. */
  findRows(query: Query<unknown>, keys: readonly string[]): Int32Array {
    if (this.#kept === undefined) return new Int32Array(keys.length).fill(NONE);
    const { standing } = this.#kept;
    const rows = this.rows.ofQuery(query.name);
    const found = rows.find(keys, standing);
    this.#foundRows.push({ rows, found });
    return found;
  }

  /** Gives a cell its kept value, or the one that its text tells, where it still holds. */
  takeOver(cell: Cell): boolean {
    const { query, key } = cell;
    if (this.#kept === undefined || query.inRows || (!query.kept && query.restore === undefined)) return false;
    const node = this.#kept.graph.find(query.name, key);
    if (node === undefined || !this.#kept.standing.holds(node)) return false;
    this.takeNode(cell, node);
    return true;
  }

  /** Gives a cell the value of a node; one that the node does not hold counts as dropped, and is computed when it is read. */
  takeNode(cell: Cell, node: number): void {
    const { graph } = this.#kept!;
    const text = graph.textOf(node);
    cell.kept = node;
    cell.version = 1;
    cell.state = 'clean';
    if (graph.hasValue(node)) cell.value = graph.valueOf(node);
    else if (text !== undefined && cell.query.restore !== undefined) cell.value = cell.query.restore(text);
  }

  /** Nodes that a value which was taken over rests on. */
  below({ kept }: Cell): Int32Array {
    const { graph } = this.#kept!;
    return graph.below.subarray(graph.firstBelow(kept), graph.endBelow(kept));
  }

  queryOf(node: number): readonly [query: Query<unknown>, key: string] {
    const { graph } = this.#kept!;
    return [this.#named.get(graph.queries[graph.queryOf(node)]!)!, graph.keyOf(node)];
  }

  /** As `QueryEngine.keep`. */
  document(cells: Cells, carry: boolean): KeptDocument {
    const graph = this.#kept?.graph;
    const computed = graph === undefined ? [] : this.#computed(cells);
    const isChange = graph !== undefined && computed.length + graph.changed.length <= MOST_CHANGED * graph.size;
    const draft = new KeptDraft((query) => this.#isNode(query), graph, isChange);
    if (isChange) {
      for (const cell of computed) draft.addCell(cell);
      draft.addEarlierChanges();
      return draft.document();
    }
    for (const { query, cells: ofQuery } of cells) {
      if (!query.kept) continue;
      for (const cell of ofQuery) if (cell.state === 'clean' && cell.present) draft.addCell(cell);
    }
    for (const { rows, found } of this.#foundRows)
      for (const row of found) if (row !== NONE) draft.addNode(rows.nodeOf(row));
    if (carry) this.#carryInto(draft, cells);
    return draft.document();
  }

  /** Adds what was taken over and nothing asked for. */
  #carryInto(draft: KeptDraft, cells: Cells): void {
    if (this.#kept === undefined) return;
    const { graph, standing } = this.#kept;
    const asked = new Map(cells.map((of) => [of.query.name, new Set(of.cells.map(({ key }) => key))]));
    for (let node = 0; node < graph.size; node++) {
      const wasAsked = asked.get(graph.queries[graph.queryOf(node)]!)?.has(graph.keyOf(node)) === true;
      if (graph.hasValue(node) && standing.holds(node) && !wasAsked) draft.addNode(node);
    }
  }

  #computed(cells: Cells): readonly Cell[] {
    const computed: Cell[] = [];
    for (const { query, cells: ofQuery } of cells) {
      if (!this.#isNode(query)) continue;
      for (const cell of ofQuery) if (cell.kept === NONE && cell.state === 'clean' && cell.present) computed.push(cell);
    }
    return computed;
  }

  #isNode(query: Query<unknown>): boolean {
    return query.kept || this.#named.get(query.name) === query;
  }
}

import { nextVisitor, type Cell } from './cell';
import { KeptTexts, NONE, type KeptDocument, type ValueBytes } from './keptDocument';
import type { KeptGraph } from './keptGraph';
import { LooksDraft } from './keptLooks';
import { RowsDraft, type KeptRow } from './keptRows';
import type { Query } from './query';

/** Values of a query that are equal are kept once where they are short: most files have nothing wrong with them. */
const SHORT = 200;

/** What a draft holds of one query. */
class OfQuery {
  readonly values: string[] = [];
  readonly #short = new Map<string, number>();
  /** Which of the queries it is. */
  readonly number: number;

  constructor(number: number) {
    this.number = number;
  }

  /** Which of the values it is. */
  valueOf(text: string): number {
    const known = text.length < SHORT ? this.#short.get(text) : undefined;
    if (known !== undefined) return known;
    const index = this.values.push(text) - 1;
    if (text.length < SHORT) this.#short.set(text, index);
    return index;
  }
}

/** A document in the making: a whole one, or what changes one that was read. */
export class KeptDraft {
  readonly #isNode: (query: Query<unknown>) => boolean;
  readonly #graph: KeptGraph | undefined;
  readonly #isChange: boolean;
  readonly #queries = new Map<string, OfQuery>();
  readonly #texts = new Map<string, number>();
  readonly #nodes: number[] = [];
  readonly #below: number[] = [];
  /** Of a change: the number of each row. */
  readonly #numbers: number[] = [];
  readonly #rows = new RowsDraft();
  readonly #looks = new Map<string, LooksDraft>();
  /** What cells and keys bear less than this is of an earlier draft: of this one it is that, and a number. */
  readonly #base = nextBase;
  readonly #ofNodes = new Map<number, number>();
  #next: number;

  /**
   * @param isNode whether values of a query are nodes, rather than steps on the way to some
   * @param graph what was read; absent where there was nothing
   * @param isChange whether only what is other than there is written
   */
  constructor(isNode: (query: Query<unknown>) => boolean, graph: KeptGraph | undefined, isChange: boolean) {
    this.#isNode = isNode;
    this.#graph = graph;
    this.#isChange = isChange && graph !== undefined;
    this.#next = this.#isChange ? graph!.size : 0;
  }

  /** Adds a cell and all that it rests on. @returns its number; undefined where something that it rests on cannot be vouched for */
  addCell(cell: Cell): number | undefined {
    if (cell.node >= this.#base) return cell.node === this.#base ? undefined : cell.node - this.#base - 1;
    cell.node = this.#base; // should anything rest on itself
    const number = cell.kept === NONE ? this.#addComputed(cell) : this.addNode(cell.kept);
    if (number !== undefined) cell.node = this.#base + 1 + number;
    return number;
  }

  /** Adds a node of the graph that was read, as it is, and all that it rests on; a change has it already. @returns its number */
  addNode(node: number): number {
    if (this.#isChange) return node;
    const known = this.#ofNodes.get(node);
    if (known !== undefined) return known;
    const graph = this.#graph!;
    const below: number[] = [];
    for (let at = graph.firstBelow(node); at < graph.endBelow(node); at++) below.push(this.addNode(graph.below[at]!));
    const number = this.#next++;
    this.#ofNodes.set(node, number);
    this.#copyRow(node, below, number);
    return number;
  }

  /** Goes on with what an earlier change brought and this run did not compute. */
  addEarlierChanges(): void {
    const own = new Set(this.#numbers);
    const graph = this.#graph!;
    for (const node of graph.changed)
      if (!own.has(node)) this.#copyRow(node, graph.below.subarray(graph.firstBelow(node), graph.endBelow(node)), node);
  }

  /** A whole one gets its id where it is written. */
  document(): KeptDocument {
    nextBase += Math.max(this.#next, this.#texts.size) + 2;
    return {
      id: '',
      base: this.#isChange ? this.#graph!.id : '',
      queries: [...this.#queries.keys()],
      texts: KeptTexts.of(this.#texts.keys()),
      nodes: new Int32Array(this.#nodes),
      below: new Int32Array(this.#below),
      numbers: new Int32Array(this.#numbers),
      rows: this.#rows.table(),
      looks: new Map([...this.#looks].map(([query, looks]) => [query, looks.looks()])),
      values: new Map(
        [...this.#queries]
          .filter(([, { values }]) => values.length > 0)
          .map(([query, { values }]) => [query, bytesOfValues(values)]),
      ),
    };
  }

  #addComputed(cell: Cell): number | undefined {
    const { query, value, final } = cell;
    const text = query.anchor?.(value);
    const isFresh = query.isFresh?.(value) === true;
    const isVouched =
      final && (query.anchor === undefined || text !== undefined || isFresh) && !(query.kept && value === undefined);
    if (!isVouched) return undefined;
    const found: Cell[] = [];
    if (!this.#nodesBelow(cell, nextVisitor(), found)) return undefined;
    if (found.length === 0 && text === undefined && !isFresh) return undefined;
    for (const one of found) if (this.addCell(one) === undefined) return undefined;
    const before = this.#isChange ? this.#graph!.find(query.name, cell.key) : undefined;
    if (before !== undefined && found.length === 0 && this.#graph!.textOf(before) === text) return before;
    const number = before ?? this.#next++;
    const look = this.#isChange ? undefined : query.looks?.of(cell.key);
    if (look !== undefined) this.#looksOf(query.name).add(cell.key, number, look);
    const kept = query.kept ? this.#valueOf(query.name, cell.key, number, asKept(query, value)) : NONE;
    const from = this.#below.length;
    for (const one of found) this.#below.push(one.node - this.#base - 1);
    this.#put(query.name, this.#keyOf(cell), text, kept, from, number);
    return number;
  }

  /**
   * The nearest nodes below a cell, each once.
   * @param walk another number for every call @returns false where something below is not final, or rests on nothing that is known
   */
  #nodesBelow(cell: Cell, walk: number, found: Cell[]): boolean {
    for (const read of cell.readings) {
      if (read.seenBy === walk) continue;
      read.seenBy = walk;
      if (!read.final) return false;
      if (read.kept !== NONE || (read.of.isNode ??= this.#isNode(read.query))) found.push(read);
      else if (read.readings.length === 0) {
        if (!read.query.isPure) return false;
      } else if (!this.#nodesBelow(read, walk, found)) return false;
    }
    return true;
  }

  #looksOf(query: string): LooksDraft {
    let looks = this.#looks.get(query);
    if (looks === undefined) this.#looks.set(query, (looks = new LooksDraft()));
    return looks;
  }

  #copyRow(node: number, below: Iterable<number>, number: number): void {
    const graph = this.#graph!;
    const query = graph.queries[graph.queryOf(node)]!;
    const key = graph.keyOf(node);
    const value = graph.rowOf(node) ?? (graph.hasValue(node) ? JSON.stringify(graph.valueOf(node)) : undefined);
    const kept = value === undefined ? NONE : this.#valueOf(query, key, number, value);
    const from = this.#below.length;
    for (const one of below) this.#below.push(one);
    this.#put(query, this.#textIn(key), graph.textOf(node), kept, from, number);
  }

  /** Which of the values of its query it is. */
  #valueOf(query: string, key: string, node: number, value: string | KeptRow): number {
    return typeof value === 'string' ? this.#ofQuery(query).valueOf(value) : this.#rows.add(query, key, node, value);
  }

  #ofQuery(query: string): OfQuery {
    let ofQuery = this.#queries.get(query);
    if (ofQuery === undefined) this.#queries.set(query, (ofQuery = new OfQuery(this.#queries.size)));
    return ofQuery;
  }

  /** @param from where in `#below` the nodes below it begin; they end where that list does */
  #put(query: string, key: number, text: string | undefined, value: number, from: number, number: number): void {
    this.#nodes.push(
      this.#ofQuery(query).number,
      key,
      text === undefined ? NONE : this.#textIn(text),
      value,
      from,
      this.#below.length,
    );
    if (this.#isChange) this.#numbers.push(number);
  }

  /** Which of the texts a cell's key is: most keys are those of several nodes. */
  #keyOf({ at }: Cell): number {
    if (at.node < this.#base) at.node = this.#base + this.#textIn(at.key);
    return at.node - this.#base;
  }

  /** Which of the texts it is. */
  #textIn(text: string): number {
    const known = this.#texts.get(text);
    if (known !== undefined) return known;
    this.#texts.set(text, this.#texts.size);
    return this.#texts.size - 1;
  }
}

function asKept(query: Query<unknown>, value: unknown): string | KeptRow {
  return query.inRows ? (value as KeptRow) : JSON.stringify(value);
}

/** Of all drafts, as cells outlive them. */
let nextBase = 1;

/** JSON in ASCII alone, which is read in half the time. */
function bytesOfValues(values: readonly string[]): ValueBytes {
  const encoder = new TextEncoder();
  const joined = `${values.join(',')},`;
  const json = encoder.encode(joined);
  // Few texts go beyond ASCII: looking through each for what does took as long as encoding them.
  if (json.length !== joined.length)
    return bytesOfValues(values.map((text) => text.replace(BEYOND_ASCII, escapedUnit)));
  let comma = NONE;
  return { json, commas: Int32Array.from(values, ({ length }) => (comma += length + 1)) };
}

const BEYOND_ASCII = /[\u0080-\uffff]/g;

function escapedUnit(unit: string): string {
  return `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`;
}

import { nextVisitor, type Cell } from './cell';
import { KeptTexts, NONE, type KeptDocument } from './keptDocument';
import type { KeptGraph } from './keptGraph';
import { LooksDraft } from './keptLooks';
import { RowsDraft, type KeptRow } from './keptRows';
import type { Query } from './query';

/** Values of a query that are equal are kept once where they are short: most files have nothing wrong with them. */
const SHORT = 200;

interface ValuesOfQuery {
  readonly texts: string[];
  readonly short: Map<string, number>;
}

/** A document in the making: a whole one, or what changes one that was read. */
export class KeptDraft {
  readonly #isNode: (query: Query<unknown>) => boolean;
  readonly #graph: KeptGraph | undefined;
  readonly #isChange: boolean;
  readonly #queries = new Map<string, number>();
  readonly #texts = new Map<string, number>();
  readonly #rows: number[] = [];
  readonly #below: number[] = [];
  /** Of a change: the number of each row. */
  readonly #numbers: number[] = [];
  readonly #values = new Map<string, ValuesOfQuery>();
  readonly #kept = new RowsDraft();
  readonly #looks = new Map<string, LooksDraft>();
  /** Numbers of cells, and of nodes of the graph. */
  readonly #ofCells = new Map<Cell, number | undefined>();
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
    if (this.#ofCells.has(cell)) return this.#ofCells.get(cell);
    this.#ofCells.set(cell, undefined); // should anything rest on itself
    const number = cell.kept === NONE ? this.#addComputed(cell) : this.addNode(cell.kept);
    this.#ofCells.set(cell, number);
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
    const encoder = new TextEncoder();
    return {
      id: '',
      base: this.#isChange ? this.#graph!.id : '',
      queries: [...this.#queries.keys()],
      texts: KeptTexts.of(this.#texts.keys()),
      nodes: Int32Array.from(this.#rows),
      below: Int32Array.from(this.#below),
      numbers: Int32Array.from(this.#numbers),
      rows: this.#kept.table(),
      looks: new Map([...this.#looks].map(([query, looks]) => [query, looks.looks()])),
      values: new Map(
        [...this.#values].map(([query, { texts }]) => {
          let comma = NONE;
          const commas = Int32Array.from(texts, ({ length }) => (comma += length + 1));
          return [query, { json: encoder.encode(`${texts.join(',')},`), commas }] as const;
        }),
      ),
    };
  }

  #addComputed(cell: Cell): number | undefined {
    const { query, key, value, final } = cell;
    const text = query.anchor?.(value);
    const isVouched =
      final && (query.anchor === undefined || text !== undefined) && !(query.kept && value === undefined);
    if (!isVouched) return undefined;
    const found: Cell[] = [];
    if (!this.#nodesBelow(cell, nextVisitor(), found) || (found.length === 0 && text === undefined)) return undefined;
    const below: number[] = [];
    for (const one of found) {
      const number = this.addCell(one);
      if (number === undefined) return undefined;
      below.push(number);
    }
    const before = this.#isChange ? this.#graph!.find(query.name, key) : undefined;
    if (before !== undefined && found.length === 0 && this.#graph!.textOf(before) === text) return before;
    const number = before ?? this.#next++;
    const look = this.#isChange ? undefined : query.looks?.of(key);
    if (look !== undefined) this.#looksOf(query.name).add(key, number, look);
    this.#put(
      [query.name, key, text],
      query.kept ? (query.inRows ? (value as KeptRow) : textOfValue(value)) : undefined,
      below,
      number,
    );
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
      if (read.kept !== NONE || this.#isNode(read.query)) found.push(read);
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
    const row = graph.rowOf(node);
    const value = row ?? (graph.hasValue(node) ? textOfValue(graph.valueOf(node)) : undefined);
    this.#put([graph.queries[graph.queryOf(node)]!, graph.keyOf(node), graph.textOf(node)], value, below, number);
  }

  #put(
    [query, key, text]: readonly [query: string, key: string, text: string | undefined],
    value: string | KeptRow | undefined,
    below: Iterable<number>,
    number: number,
  ): void {
    const from = this.#below.length;
    for (const one of below) this.#below.push(one);
    this.#rows.push(
      numberIn(this.#queries, query),
      numberIn(this.#texts, key),
      text === undefined ? NONE : numberIn(this.#texts, text),
      value === undefined
        ? NONE
        : typeof value === 'string'
          ? this.#valueOf(query, value)
          : this.#kept.add(query, key, number, value),
      from,
      this.#below.length,
    );
    if (this.#isChange) this.#numbers.push(number);
  }

  #valueOf(query: string, text: string): number {
    let values = this.#values.get(query);
    if (values === undefined) this.#values.set(query, (values = { texts: [], short: new Map() }));
    const known = text.length < SHORT ? values.short.get(text) : undefined;
    if (known !== undefined) return known;
    const index = values.texts.push(text) - 1;
    if (text.length < SHORT) values.short.set(text, index);
    return index;
  }
}

/** JSON in ASCII alone, which is read in half the time. */
function textOfValue(value: unknown): string {
  const text = JSON.stringify(value);
  return BEYOND_ASCII.test(text)
    ? text.replace(EACH_BEYOND_ASCII, (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`)
    : text;
}

const BEYOND_ASCII = /[\u0080-\uffff]/;
const EACH_BEYOND_ASCII = /[\u0080-\uffff]/g;

/** Which of the different ones so far it is. */
function numberIn(numbers: Map<string, number>, text: string): number {
  const known = numbers.get(text);
  if (known !== undefined) return known;
  numbers.set(text, numbers.size);
  return numbers.size - 1;
}

import { NONE } from './keptDocument';
import type { Query } from './query';

/** `unknown`: nothing read it yet, or it failed. `check`: something that it rests on may have changed. */
export type CellState = 'unknown' | 'check' | 'clean';

/** The cells of one query, and how often a value was computed, computed again after it was dropped, and taken over. */
export class CellsOfQuery {
  readonly query: Query<unknown>;
  readonly cells: Cell[] = [];
  /** The one of no key. */
  single: Cell | undefined = undefined;
  /** What each of them reads, where they are looked up in one value. */
  index: readonly Cell[] | undefined = undefined;
  /** Whether its values are nodes of what is kept, see `KeptDraft`; undefined until that is asked. */
  isNode: boolean | undefined = undefined;
  computed = 0;
  dropped = 0;
  kept = 0;

  constructor(query: Query<unknown>) {
    this.query = query;
  }
}

/**
 * The cells of one key, a few in a row: what is asked of a file or an entry mostly asks for others of the same, and those are found without
 * a look into a map of thousands.
 */
export class CellsOfKey {
  readonly key: string;
  first: Cell | undefined = undefined;
  /** As `Cell.node`, of the key's text. */
  node = 0;

  constructor(key: string) {
    this.key = key;
  }

  find(query: Query<unknown>): Cell | undefined {
    let cell = this.first;
    while (cell !== undefined && cell.query !== query) cell = cell.next;
    return cell;
  }
}

/** How a computation ended that had to be waited for: whoever asks within the same run is told the same. */
export class Failure {
  constructor(
    readonly error: unknown,
    readonly run: number,
  ) {}
}

/** Computed at this moment; waited for, by a promise that never rejects; or how that ended. */
export type Underway = 'here' | Promise<void> | Failure | undefined;

/** One value of a query, and what it rests on. A review makes tens of thousands of these: they hold no more than they need. */
export class Cell {
  readonly query: Query<unknown>;
  readonly of: CellsOfQuery;
  readonly at: CellsOfKey;
  /** The next one of its key. */
  readonly next: Cell | undefined;
  state: CellState = 'unknown';
  /** {@link DROPPED} before the first, and once a large one was dropped. */
  value: unknown = DROPPED;
  /** Counts the different values so far; 0 before the first. */
  version = 0;
  fingerprint: string | undefined = undefined;
  /** What it read, in the order of the first reading. */
  readings: readonly Cell[] = NOTHING_READ;
  /** The version of each that it saw; undefined until what it read knows of it, so that a change there reaches it. */
  versions: readonly number[] | undefined = undefined;
  /** What read it. Most cells have one reader, and a set for each would be most of the memory. */
  #readers: Cell | Set<Cell> | undefined = undefined;
  underway: Underway = undefined;
  /** False where the value rests on something that may heal by itself. */
  final = true;
  /** The node that its value was taken over from. */
  kept = NONE;
  /** The last one that came by: a computation that read it, or a walk of `KeptDraft`. */
  seenBy = 0;
  /** Its node in the last draft of what is kept, see `KeptDraft`. */
  node = 0;

  constructor(of: CellsOfQuery, at: CellsOfKey) {
    this.query = of.query;
    this.of = of;
    this.at = at;
    this.next = at.first;
  }

  get key(): string {
    return this.at.key;
  }

  get present(): boolean {
    return this.value !== DROPPED;
  }

  drop(): void {
    this.value = DROPPED;
  }

  addReader(reader: Cell): void {
    const readers = this.#readers;
    if (readers === undefined) this.#readers = reader;
    else if (readers instanceof Set) readers.add(reader);
    else if (readers !== reader) this.#readers = new Set([readers, reader]);
  }

  deleteReader(reader: Cell): void {
    if (this.#readers instanceof Set) this.#readers.delete(reader);
    else if (this.#readers === reader) this.#readers = undefined;
  }

  addReadersTo(list: Cell[]): void {
    const readers = this.#readers;
    if (readers instanceof Set) list.push(...readers);
    else if (readers !== undefined) list.push(readers);
  }
}

export const NOTHING_READ: readonly Cell[] = [];

/** Stands for a value that is not there. */
const DROPPED = Symbol('dropped');

let visitors = 0;

/** A number for whoever comes by next. */
export function nextVisitor(): number {
  visitors += 1;
  return visitors;
}

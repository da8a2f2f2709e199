import { NONE } from './keptDocument';
import type { Query } from './query';

/** `unknown`: nothing read it yet, or it failed. `check`: something that it rests on may have changed. */
export type CellState = 'unknown' | 'check' | 'clean';

/** The cells of one query, and how often a value was computed, computed again after it was dropped, and taken over. */
export class CellsOfQuery {
  readonly query: Query<unknown>;
  readonly byKey = new Map<string, Cell>();
  /** What each of them reads, where they are looked up in one value. */
  index: readonly Cell[] | undefined = undefined;
  computed = 0;
  dropped = 0;
  kept = 0;

  constructor(query: Query<unknown>) {
    this.query = query;
  }

  at(key: string): Cell {
    let cell = this.byKey.get(key);
    if (cell === undefined) this.byKey.set(key, (cell = new Cell(this, key)));
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

/** One value of a query, and what it rests on. A review makes tens of thousands of these: they hold no more than they need. */
export class Cell {
  readonly of: CellsOfQuery;
  readonly key: string;
  state: CellState = 'unknown';
  value: unknown = undefined;
  /** False once a large value was dropped. */
  present = false;
  /** Counts the different values so far; 0 before the first. */
  version = 0;
  fingerprint: string | undefined = undefined;
  /** What it read, in the order of the first reading. */
  readings: readonly Cell[] = NOTHING_READ;
  /** The version of each that it saw; undefined until what it read knows of it, so that a change there reaches it. */
  versions: readonly number[] | undefined = undefined;
  /** What read it. Most cells have one reader, and a set for each would be most of the memory. */
  #readers: Cell | Set<Cell> | undefined = undefined;
  isComputing = false;
  /** The end of a computation that is waited for, which never rejects. */
  later: Promise<void> | Failure | undefined = undefined;
  /** False where the value rests on something that may heal by itself. */
  final = true;
  /** The node that its value was taken over from. */
  kept = NONE;
  /** The last one that came by: a computation that read it, or a walk of `KeptDraft`. */
  seenBy = 0;

  constructor(of: CellsOfQuery, key: string) {
    this.of = of;
    this.key = key;
  }

  get query(): Query<unknown> {
    return this.of.query;
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

let visitors = 0;

/** A number for whoever comes by next. */
export function nextVisitor(): number {
  visitors += 1;
  return visitors;
}

import { NONE } from './keptDocument';
import type { Query } from './query';

/** `unknown`: nothing read it yet, or it failed. `check`: something that it rests on may have changed. */
export type CellState = 'unknown' | 'check' | 'clean';

/** One value of a query, and what it rests on. A review makes tens of thousands of these: they hold no more than they need. */
export class Cell {
  readonly query: Query<unknown>;
  readonly key: string;
  state: CellState = 'unknown';
  value: unknown = undefined;
  /** False once a large value was dropped. */
  present = false;
  /** Counts the different values so far; 0 before the first. */
  version = 0;
  fingerprint: string | undefined = undefined;
  /** What it read. */
  readings: Readings = NOTHING_READ;
  /** What read it. Most cells have one reader, and a set for each would be most of the memory. */
  #readers: Cell | Set<Cell> | undefined = undefined;
  running: Promise<void> | undefined = undefined;
  /** False where the value rests on something that may heal by itself. */
  final = true;
  /** The node that its value was taken over from. */
  kept = NONE;
  /** Whether what it read knows of it, so that a change there reaches it. */
  isLinked = false;
  /** The last walk that came by, see `KeptDraft`. */
  walk = 0;

  constructor(query: Query<unknown>, key: string) {
    this.query = query;
    this.key = key;
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

/** Lists are looked through up to this length; longer ones have a set beside them. */
const SHORT = 12;

/** Cells that one computation read, in the order of the first reading, with the version that it saw. */
export class Readings {
  readonly cells: Cell[] = [];
  readonly versions: number[] = [];
  #set: Set<Cell> | undefined;

  add(cell: Cell): void {
    if (this.has(cell)) return;
    this.cells.push(cell);
    this.versions.push(cell.version);
    if (this.#set !== undefined) this.#set.add(cell);
    else if (this.cells.length > SHORT) this.#set = new Set(this.cells);
  }

  has(cell: Cell): boolean {
    return this.#set === undefined ? this.cells.includes(cell) : this.#set.has(cell);
  }
}

/** Never added to. */
const NOTHING_READ = new Readings();

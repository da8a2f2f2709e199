import type { AbortSignalLike } from '../ports/abort';
import { nextVisitor, type Cell } from './cell';
import type { CellValues } from './cellValues';
import { Pause, type Query, type Reading } from './query';

/** A list that waits for the values of others has so many of them begun at a time. */
const MOST_AT_ONCE = 8;

/**
 * One computation, and what it has read so far. Computations follow one another on a stack, and so do the lists of what they read: each takes
 * its part off when it ends, in place of a list that grows for each of tens of thousands.
 */
export class Frame implements Reading {
  readonly signal: AbortSignalLike | undefined;
  /** Undefined for what a run computes for itself. */
  readonly cell: Cell | undefined;
  readonly above: Frame | undefined;
  readonly #values: CellValues;
  readonly #visitor = nextVisitor();
  /** Of the stack, or a list of its own as soon as the computation is waited for. */
  #reads: Cell[];
  #from: number;

  constructor(
    values: CellValues,
    signal: AbortSignalLike | undefined,
    cell: Cell | undefined,
    above: Frame | undefined,
  ) {
    this.signal = signal;
    this.cell = cell;
    this.above = above;
    this.#values = values;
    this.#reads = values.stack;
    this.#from = values.stack.length;
  }

  get<Value>(query: Query<Value>, key: string): Value {
    const cell = this.#values.cell(query, key, this.cell);
    if (cell.state !== 'clean' || !cell.present) this.#values.bringUpToDate(cell, this, true);
    this.#add(cell);
    if (query.large !== undefined) this.#values.touch(cell);
    return cell.value as Value;
  }

  all<Value>(query: Query<Value>, keys: readonly string[]): readonly Value[] {
    const cells = keys.map((key) => this.#values.cell(query, key));
    const pauses: Promise<unknown>[] = [];
    for (const cell of cells) {
      try {
        this.#values.bringUpToDate(cell, this, true);
      } catch (error) {
        if (!(error instanceof Pause)) throw error;
        if (pauses.push(error.over) === MOST_AT_ONCE) break;
      }
    }
    if (pauses.length > 0) throw new Pause(Promise.all(pauses));
    for (const cell of cells) this.#add(cell);
    return cells.map(({ value }) => value as Value);
  }

  notFinal(): void {
    if (this.cell !== undefined) this.cell.final = false;
  }

  /** Goes on with a list of its own, as the stack goes to others while this one waits. */
  leaveStack(): void {
    this.#reads = this.takeReads();
    this.#from = 0;
  }

  /** What was read, in the order of the first reading; it is taken off the stack. */
  takeReads(): Cell[] {
    const reads = this.#reads.slice(this.#from);
    this.#reads.length = this.#from;
    return reads;
  }

  /** What is met twice in a row of readings is mostly seen to be: once too often listed does no harm. */
  #add(cell: Cell): void {
    if (this.cell === undefined || cell.seenBy === this.#visitor) return;
    cell.seenBy = this.#visitor;
    this.#reads.push(cell);
  }
}

import type { Cell } from './cell';
import type { Query } from './query';

/** Marks that a change sets along the readers of a cell: as far as the next gates, which are settled before anything else is marked. */
export class ChangeMarks {
  /** Gates that may have changed, and the version that their readers saw. */
  readonly #gates = new Map<Cell, number>();
  readonly #marked = new Map<Query<unknown>, Set<string>>();

  /** Keys of a watched query whose values may be other than at the last call. */
  take(query: Query<unknown>): ReadonlySet<string> {
    const marked = this.#marked.get(query) ?? new Set<string>();
    this.#marked.delete(query);
    return marked;
  }

  /** Marks a cell for a new computation, and all that rests on it for a check. */
  forget(cell: Cell): void {
    cell.state = 'unknown';
    if (!this.#isHeldBack(cell)) this.markReaders(cell);
  }

  markReaders(cell: Cell): void {
    const marked: Cell[] = [];
    cell.addReadersTo(marked);
    for (let reader = marked.pop(); reader !== undefined; reader = marked.pop()) {
      if (reader.state !== 'clean') continue;
      reader.state = 'check';
      if (!this.#isHeldBack(reader)) reader.addReadersTo(marked);
    }
  }

  /** A gate that is not settled, with the version that its readers saw. */
  nextGate(): readonly [gate: Cell, seen: number] | undefined {
    const next = this.#gates.entries().next();
    return next.done === true ? undefined : next.value;
  }

  /** The gate is known again. @param isOther whether its readers saw another value */
  settle(gate: Cell, isOther: boolean): void {
    this.#gates.delete(gate);
    if (isOther) this.markReaders(gate);
  }

  /** Takes note of a marked cell. Whether its readers wait until it is known to have changed. */
  #isHeldBack(cell: Cell): boolean {
    const { query, key } = cell;
    if (query.watched) {
      const keys = this.#marked.get(query);
      if (keys === undefined) this.#marked.set(query, new Set([key]));
      else keys.add(key);
    }
    if (!query.gate || cell.version === 0) return false;
    if (!this.#gates.has(cell)) this.#gates.set(cell, cell.version);
    return true;
  }
}

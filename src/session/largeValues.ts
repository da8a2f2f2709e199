import type { Cell } from './cell';

const LARGE_BYTES = 96 * 1024 * 1024;

/** Keeps the bytes of large values within a limit: those read least recently are dropped first, and computed again when they are read. */
export class LargeValues {
  /** Bytes of each present one, least recently read first. */
  readonly #present = new Map<Cell, number>();
  readonly #limit: number;
  #bytes = 0;
  /** What is not dropped, by the cell whose computation read it and is to begin anew. */
  readonly #held = new Map<Cell, readonly Cell[]>();

  constructor(limit = LARGE_BYTES) {
    this.#limit = limit;
  }

  /** Notes that a large value was read. */
  touch(cell: Cell): void {
    const known = this.#present.get(cell);
    const bytes = cell.query.large?.bytes(cell.value) ?? 0;
    // In which order they were read matters only once something may have to go.
    if (bytes === known && this.#bytes * 2 < this.#limit) return;
    this.#bytes += bytes - (known ?? 0);
    this.#present.delete(cell);
    this.#present.set(cell, bytes);
    if (this.#bytes > this.#limit) this.#dropOldest(cell);
  }

  hold(holder: Cell, reads: readonly Cell[]): void {
    const large = reads.filter((read) => read.query.large !== undefined);
    if (large.length > 0) this.#held.set(holder, large);
  }

  release(holder: Cell): void {
    if (this.#held.size > 0) this.#held.delete(holder);
  }

  releaseAll(): void {
    this.#held.clear();
  }

  #dropOldest(last: Cell): void {
    const held = new Set([...this.#held.values()].flat());
    for (const [oldest, freed] of this.#present) {
      if (this.#bytes <= this.#limit || oldest === last) return;
      if (held.has(oldest)) continue;
      this.#present.delete(oldest);
      oldest.drop();
      this.#bytes -= freed;
    }
  }
}

/** Drops the heavy values below one that is kept; whoever reads one after all has it computed again. */
export function dropHeavy(cell: Cell): void {
  for (const read of cell.readings) {
    if (!read.query.isHeavy || !read.present) continue;
    read.drop();
    dropHeavy(read);
  }
}

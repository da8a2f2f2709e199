import type { Cell } from './cell';

const LARGE_BYTES = 96 * 1024 * 1024;

/** Keeps the bytes of large values within a limit: those read least recently are dropped first, and computed again when they are read. */
export class LargeValues {
  /** Bytes of each present one, least recently read first. */
  readonly #present = new Map<Cell, number>();
  readonly #limit: number;
  #bytes = 0;

  constructor(limit = LARGE_BYTES) {
    this.#limit = limit;
  }

  /** Notes that a large value was read. */
  touch(cell: Cell): void {
    const { large } = cell.query;
    if (large === undefined) return;
    this.#bytes -= this.#present.get(cell) ?? 0;
    this.#present.delete(cell);
    const bytes = large.bytes(cell.value);
    this.#present.set(cell, bytes);
    this.#bytes += bytes;
    if (this.#bytes <= this.#limit) return;
    for (const [oldest, freed] of this.#present) {
      if (this.#bytes <= this.#limit || oldest === cell) return;
      this.#present.delete(oldest);
      oldest.value = undefined;
      oldest.present = false;
      this.#bytes -= freed;
    }
  }
}

/** Drops the heavy values below one that is kept; whoever reads one after all has it computed again. */
export function dropHeavy(cell: Cell): void {
  for (const read of cell.readings.cells) {
    if (!read.query.isHeavy || !read.present) continue;
    read.value = undefined;
    read.present = false;
    dropHeavy(read);
  }
}

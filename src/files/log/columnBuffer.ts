import type { LogChunk, LogColumn, LogRole } from '../testLog';

/** Most rows in a chunk: enough that the work per chunk does not count, few enough that a chunk fits a processor's cache. */
export const CHUNK_ROWS = 16_384;
/** Rows of the first chunk; each has twice as many as the one before. Clearing memory that a short log never fills took as long as reading it. */
const FIRST_ROWS = 2048;

/** Gathers rows of raw numbers, column after column, and hands them out as chunks in SI. */
export class ColumnBuffer {
  /** Raw numbers; column c of the needed columns begins at c x capacity. */
  columns: Float64Array<ArrayBuffer>;
  /** Rows in `columns` so far. */
  rows = 0;
  /** Rows handed out so far. */
  total = 0;

  /** Rows that there is room for before a chunk is taken. */
  capacity: number;

  /** @param most rows in a chunk */
  constructor(
    private readonly needed: readonly LogColumn[],
    private readonly most: number,
  ) {
    this.capacity = Math.min(FIRST_ROWS, most);
    this.columns = new Float64Array(this.capacity * needed.length);
  }

  /** The rows gathered, in SI. The arrays are the caller's to keep. @param isLast there is no room for another row afterwards */
  takeChunk(isLast: boolean): LogChunk {
    const { rows, total } = this;
    const arrays = this.needed.map((column, index) => this.toSi(column, index));
    const named = (role: LogRole): Float64Array => arrays[this.needed.findIndex((column) => column.role === role)]!;
    const has = (role: LogRole): boolean => this.needed.some((column) => column.role === role);
    this.capacity = isLast ? 0 : Math.min(2 * this.capacity, this.most);
    this.columns = new Float64Array(this.capacity * this.needed.length);
    this.rows = 0;
    this.total += rows;
    return {
      firstRow: total,
      rows,
      time: named('time'),
      displacement: named('displacement'),
      force: named('force'),
      ...(has('velocity') ? { velocity: named('velocity') } : {}),
      ...(has('temperature') ? { temperature: named('temperature') } : {}),
      adjusters: arrays.filter((_, index) => this.needed[index]!.role === 'adjuster'),
    };
  }

  private toSi({ factor, offset }: LogColumn, index: number): Float64Array {
    const values = this.columns.subarray(index * this.capacity, index * this.capacity + this.rows);
    if (factor === 1 && offset === 0) return values;
    for (let row = 0; row < values.length; row++) values[row] = values[row]! * factor + offset;
    return values;
  }
}

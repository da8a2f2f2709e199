/** Grows with the series, up to its capacity. */
const FIRST_CAPACITY = 512;

/** Evenly spread values of a series of unknown length, never more than a fixed number of them: what a median of the whole log needs. */
export class ThinnedSeries {
  /** Only rows that are a multiple of this are wanted. */
  stride = 1;
  private rows: Float64Array;
  private values: Float64Array;
  private count = 0;

  /** @param capacity most values that are held */
  constructor(private readonly capacity: number) {
    const first = Math.min(FIRST_CAPACITY, capacity);
    this.rows = new Float64Array(first);
    this.values = new Float64Array(first);
  }

  /** Takes the value of a row, unless the row is not a multiple of `stride`; when full, every second one is given up. */
  add(row: number, value: number): void {
    if (row % this.stride !== 0) return;
    if (this.count === this.values.length) {
      if (this.count < this.capacity) this.grow();
      else this.thin();
      if (row % this.stride !== 0) return;
    }
    this.rows[this.count] = row;
    this.values[this.count++] = value;
  }

  kept(): Float64Array {
    return this.values.slice(0, this.count);
  }

  private grow(): void {
    const capacity = Math.min(2 * this.values.length, this.capacity);
    this.rows = grown(this.rows, capacity);
    this.values = grown(this.values, capacity);
  }

  private thin(): void {
    this.stride *= 2;
    let kept = 0;
    for (let i = 0; i < this.count; i++) {
      if (this.rows[i]! % this.stride !== 0) continue;
      this.rows[kept] = this.rows[i]!;
      this.values[kept++] = this.values[i]!;
    }
    this.count = kept;
  }
}

function grown(values: Float64Array, capacity: number): Float64Array {
  const larger = new Float64Array(capacity);
  larger.set(values);
  return larger;
}

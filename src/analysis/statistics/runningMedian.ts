/** Median of values that come one by one. */
export class RunningMedian {
  private readonly sorted: number[] = [];

  add(value: number): void {
    let low = 0;
    let high = this.sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.sorted[middle]! < value) low = middle + 1;
      else high = middle;
    }
    this.sorted.splice(low, 0, value);
  }

  /** NaN before the first value. */
  value(): number {
    const n = this.sorted.length;
    if (n === 0) return NaN;
    return (this.sorted[(n - 1) >> 1]! + this.sorted[n >> 1]!) / 2;
  }
}

/**
 * Turning points of a displacement by zigzag: an extremum counts once the motion has come back from it by more than `hysteresis`.
 * Works on one segment of the log at a time, sample by sample, in any portions.
 */
export class TurningPoints {
  /** Row of the extremum that `scan` has just confirmed. */
  confirmedRow = -1;
  /** Row that `scan` goes on from. */
  nextRow = 0;
  /** +1: the last confirmed extremum is a minimum and the motion goes up; -1: the other way round; 0: none yet. */
  direction: -1 | 0 | 1 = 0;
  private highest = -Infinity;
  private lowest = Infinity;
  private highestRow = -1;
  private lowestRow = -1;

  constructor(private readonly hysteresis: number) {}

  /** A new segment begins. */
  restart(): void {
    this.direction = 0;
    this.highest = -Infinity;
    this.lowest = Infinity;
    this.highestRow = -1;
    this.lowestRow = -1;
  }

  /** The newest extremum that may still become one, or -1 before the first sample. */
  candidateRow(): number {
    if (this.direction === 0) return Math.max(this.highestRow, this.lowestRow);
    return this.direction > 0 ? this.highestRow : this.lowestRow;
  }

  /** The oldest row that may still become a turning point, or -1 before the first sample. */
  oldestRow(): number {
    return this.direction === 0 ? Math.min(this.highestRow, this.lowestRow) : this.candidateRow();
  }

  /** The extremum that the segment ends with, not confirmed by a return. -1 where nothing moved. */
  pendingRow(): number {
    return this.direction === 0 ? -1 : this.candidateRow();
  }

  /**
   * Looks at rows `from` to `to` (excluded) of x, whose index 0 is row `firstRow`.
   * @returns true when an extremum was confirmed: `confirmedRow` is it and `nextRow` the row to go on from.
   */
  scan(x: Float64Array, firstRow: number, from: number, to: number): boolean {
    let i = from - firstRow;
    const end = to - firstRow;
    if (this.direction === 0) i = this.findFirst(x, firstRow, i, end);
    else if (this.direction > 0) i = this.followUp(x, firstRow, i, end);
    else i = this.followDown(x, firstRow, i, end);
    const found = i >= 0;
    this.nextRow = found ? firstRow + i + 1 : to;
    return found;
  }

  private findFirst(x: Float64Array, firstRow: number, from: number, end: number): number {
    for (let i = from; i < end; i++) {
      const value = x[i]!;
      if (value > this.highest) this.rise(value, firstRow + i);
      if (value < this.lowest) this.fall(value, firstRow + i);
      if (value < this.highest - this.hysteresis) return this.turnDown(value, firstRow + i, i);
      if (value > this.lowest + this.hysteresis) return this.turnUp(value, firstRow + i, i);
    }
    return -1;
  }

  private followUp(x: Float64Array, firstRow: number, from: number, end: number): number {
    let highest = this.highest;
    let at = -1;
    const hysteresis = this.hysteresis;
    let i = from;
    for (; i < end; i++) {
      const value = x[i]!;
      if (value > highest) {
        highest = value;
        at = i;
      } else if (value < highest - hysteresis) break;
    }
    if (at >= 0) this.rise(highest, firstRow + at);
    return i < end ? this.turnDown(x[i]!, firstRow + i, i) : -1;
  }

  private followDown(x: Float64Array, firstRow: number, from: number, end: number): number {
    let lowest = this.lowest;
    let at = -1;
    const hysteresis = this.hysteresis;
    let i = from;
    for (; i < end; i++) {
      const value = x[i]!;
      if (value < lowest) {
        lowest = value;
        at = i;
      } else if (value > lowest + hysteresis) break;
    }
    if (at >= 0) this.fall(lowest, firstRow + at);
    return i < end ? this.turnUp(x[i]!, firstRow + i, i) : -1;
  }

  private rise(value: number, row: number): void {
    this.highest = value;
    this.highestRow = row;
  }

  private fall(value: number, row: number): void {
    this.lowest = value;
    this.lowestRow = row;
  }

  private turnDown(value: number, row: number, index: number): number {
    this.confirmedRow = this.highestRow;
    this.direction = -1;
    this.fall(value, row);
    return index;
  }

  private turnUp(value: number, row: number, index: number): number {
    this.confirmedRow = this.lowestRow;
    this.direction = 1;
    this.rise(value, row);
    return index;
  }
}

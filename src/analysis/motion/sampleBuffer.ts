import type { SampleWindow } from './cycle';
import type { SampleChunk } from './sampleChunk';

/** Grows with the log: to clear more than a short one fills took as long as reading it. */
const FIRST_CAPACITY = 64;

/** The rows of the log that are still needed, in one piece. Rows before `firstRow` are gone; index = row - firstRow. */
export class SampleBuffer implements SampleWindow {
  firstRow = 0;
  time: Float64Array = new Float64Array(FIRST_CAPACITY);
  displacement: Float64Array = new Float64Array(FIRST_CAPACITY);
  force: Float64Array = new Float64Array(FIRST_CAPACITY);
  temperature?: Float64Array;
  /** As the log has it; absent where it has none. */
  loggedVelocity?: Float64Array;
  /** Filled cycle by cycle where no velocity is logged or it is not to be trusted. */
  derivedVelocity: Float64Array = new Float64Array(0);
  /** Whichever of both the present cycle is to be seen with. */
  velocity: Float64Array = new Float64Array(0);
  private length = 0;

  /** Row after the last one held. */
  get endRow(): number {
    return this.firstRow + this.length;
  }

  /** Takes rows `from` to `to` (excluded) of a chunk; they follow on what is held. */
  append(chunk: SampleChunk, from: number, to: number): void {
    this.makeRoom(to - from, chunk);
    const at = this.length;
    this.time.set(chunk.time.subarray(from, to), at);
    this.displacement.set(chunk.displacement.subarray(from, to), at);
    this.force.set(chunk.force.subarray(from, to), at);
    if (this.temperature && chunk.temperature) this.temperature.set(chunk.temperature.subarray(from, to), at);
    if (this.loggedVelocity && chunk.velocity) this.loggedVelocity.set(chunk.velocity.subarray(from, to), at);
    this.length += to - from;
  }

  /** Rows before this one may go. They do when it saves more than it costs. */
  release(row: number): void {
    const gone = Math.min(row - this.firstRow, this.length);
    if (gone * 2 < this.time.length) return;
    for (const column of this.columns()) column.copyWithin(0, gone, this.length);
    this.firstRow += gone;
    this.length -= gone;
  }

  /** The array for derived velocity, made when it is first asked for. */
  derivedColumn(): Float64Array {
    if (this.derivedVelocity.length < this.time.length) this.derivedVelocity = new Float64Array(this.time.length);
    return this.derivedVelocity;
  }

  private columns(): Float64Array[] {
    const { time, displacement, force, temperature, loggedVelocity } = this;
    return [time, displacement, force, temperature, loggedVelocity].filter((column) => column !== undefined);
  }

  private makeRoom(rows: number, chunk: SampleChunk): void {
    let capacity = this.time.length;
    while (capacity < this.length + rows) capacity *= 2;
    const grown = (column: Float64Array | undefined): Float64Array => {
      const larger = new Float64Array(capacity);
      if (column) larger.set(column);
      return larger;
    };
    if (capacity > this.time.length) {
      this.time = grown(this.time);
      this.displacement = grown(this.displacement);
      this.force = grown(this.force);
      if (this.temperature) this.temperature = grown(this.temperature);
      if (this.loggedVelocity) this.loggedVelocity = grown(this.loggedVelocity);
    }
    if (chunk.temperature) this.temperature ??= grown(undefined);
    if (chunk.velocity) this.loggedVelocity ??= grown(undefined);
  }
}

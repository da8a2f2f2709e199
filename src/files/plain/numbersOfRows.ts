import type { ForceRow, MeasuredRow } from '../forceTable';
import { MEASURED_COLUMNS, POINT_COLUMNS } from '../forceColumns';
import type { TablePlan } from './plainHeader';

/*
 * The numbers of a table stand in one list, and its rows look into it: rows that hold a dozen numbers each as objects of their own are twice
 * as much memory, all of it moved about by the collector, and half of what a check of a repository of sweeps holds.
 */

/** Places of a row's numbers; those of {@link MEASURED_COLUMNS} follow in their order, and then the positions of its adjusters. */
const PASS = 0;
const VELOCITY = 1;
const COMPRESSION = 2;
const REBOUND = 3;
const GAS = 4;
const TEMPERATURE = 5;
const MEASURED = 6;

/** Place of each column by its name. */
export const PLACES: ReadonlyMap<string, number> = new Map([
  [POINT_COLUMNS.pass.name, PASS],
  [POINT_COLUMNS.velocity.name, VELOCITY],
  [POINT_COLUMNS.compression.name, COMPRESSION],
  [POINT_COLUMNS.rebound.name, REBOUND],
  [POINT_COLUMNS.gas.name, GAS],
  [POINT_COLUMNS.temperature.name, TEMPERATURE],
  ...Object.values(MEASURED_COLUMNS).map(({ name }, i) => [name, MEASURED + i] as const),
]);

const ROOM = 1024;
/** More room than this, which a table of thousands of rows takes, is given back behind it. */
const MOST_ROOM = 65_536;
/** Numbers of the rows that are being read, of one table after another. */
let numbers = new Float64Array(ROOM);

/** The numbers of a table's rows as they are read, one after the other. */
export class NumbersOfRows {
  readonly #plan: TablePlan;
  readonly #size: number;
  /** The setting of each row; rows of one setting share it: an array for each was a third of what reading a table left to be cleared away. */
  readonly #settings: (readonly number[])[] = [];
  #from = 0;

  constructor(plan: TablePlan) {
    this.#plan = plan;
    this.#size = PLACES.size + plan.adjusters.length;
  }

  /** Where the next row's numbers go, from the place given: all that a table may lack is NaN yet. */
  next(): Float64Array {
    const from = this.#from;
    if (numbers.length < from + this.#size) {
      const before = numbers;
      numbers = new Float64Array(2 * (from + this.#size));
      numbers.set(before);
    }
    if (this.#plan.isMeasured) {
      numbers[from + GAS] = NaN;
      numbers[from + TEMPERATURE] = NaN;
    } else numbers.fill(NaN, from, from + this.#size);
    numbers[from + PASS] = 1;
    return numbers;
  }

  /** Place of the first number of the next row. */
  get from(): number {
    return this.#from;
  }

  /** The next row has been read. */
  end(): void {
    const settings = this.#settings;
    const at = this.#from + PLACES.size;
    const before = settings.at(-1);
    settings.push(before !== undefined && isSetting(before, at) ? before : settingAt(at, this.#plan.adjusters.length));
    this.#from += this.#size;
  }

  /** @param line of the first */
  rows(line: number): ForceRow[] {
    const own = numbers.slice(0, this.#from);
    if (numbers.length > MOST_ROOM) numbers = new Float64Array(ROOM);
    const Row = this.#plan.isMeasured ? MeasuredPlainRow : PlainRow;
    return this.#settings.map((setting, i) => new Row(line + i, setting, own, i * this.#size));
  }
}

function settingAt(at: number, adjusters: number): readonly number[] {
  return Array.from(numbers.subarray(at, at + adjusters));
}

function isSetting(setting: readonly number[], at: number): boolean {
  for (let i = 0; i < setting.length; i++) if (!Object.is(setting[i], numbers[at + i])) return false;
  return true;
}

class PlainRow implements ForceRow {
  /** @param from place of its first number */
  constructor(
    readonly line: number,
    readonly setting: readonly number[],
    protected readonly numbers: Float64Array,
    protected readonly from: number,
  ) {}

  get pass(): number {
    return this.numbers[this.from + PASS]!;
  }
  get velocity(): number {
    return this.numbers[this.from + VELOCITY]!;
  }
  get compression(): number {
    return this.numbers[this.from + COMPRESSION]!;
  }
  get rebound(): number {
    return this.numbers[this.from + REBOUND]!;
  }
  get gas(): number | undefined {
    return known(this.numbers[this.from + GAS]!);
  }
  get temperature(): number | undefined {
    return known(this.numbers[this.from + TEMPERATURE]!);
  }
  get measured(): MeasuredRow | undefined {
    return undefined;
  }
}

/** A row of a result, which is its own measured part: nothing is made to look at that. */
class MeasuredPlainRow extends PlainRow implements MeasuredRow {
  override get measured(): MeasuredRow {
    return this;
  }
  get compressionVelocity(): number {
    return this.numbers[this.from + MEASURED]!;
  }
  get reboundVelocity(): number {
    return this.numbers[this.from + MEASURED + 1]!;
  }
  get compressionU(): number {
    return this.numbers[this.from + MEASURED + 2]!;
  }
  get reboundU(): number {
    return this.numbers[this.from + MEASURED + 3]!;
  }
  get compressionK(): number {
    return this.numbers[this.from + MEASURED + 4]!;
  }
  get reboundK(): number {
    return this.numbers[this.from + MEASURED + 5]!;
  }
  get compressionDf(): number {
    return this.numbers[this.from + MEASURED + 6]!;
  }
  get reboundDf(): number {
    return this.numbers[this.from + MEASURED + 7]!;
  }
  get cycles(): number {
    return this.numbers[this.from + MEASURED + 8]!;
  }
  get energy(): number {
    return this.numbers[this.from + MEASURED + 9]!;
  }
}

function known(value: number): number | undefined {
  return Number.isNaN(value) ? undefined : value;
}

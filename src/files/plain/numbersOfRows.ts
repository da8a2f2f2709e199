import type { ForceRow, MeasuredRow } from '../forceTable';
import type { TablePlan } from './plainHeader';

/*
 * The numbers of a table stand in one list, and its rows look into it: rows that hold a dozen numbers each as objects of their own are five
 * times as much memory, and in a repository of sweeps they were half of all that a check holds and moves about.
 */

/** Places of a row's numbers; those of {@link MEASURED_COLUMNS} follow in their order, where the table has them. */
const PASS = 0;
const VELOCITY = 1;
const COMPRESSION = 2;
const REBOUND = 3;
const GAS = 4;
const TEMPERATURE = 5;
const MEASURED = 6;

/** The numbers of a table's rows. */
export class NumbersOfRows {
  readonly #plan: TablePlan;
  readonly #size: number;
  readonly #numbers: Float64Array;
  #end = 0;

  /** @param rows so many at most */
  constructor(plan: TablePlan, rows: number) {
    this.#plan = plan;
    this.#size = MEASURED + (plan.measured?.length ?? 0);
    this.#numbers = new Float64Array(rows * this.#size);
  }

  /** The next row. @param values of its cells, SI */
  row(values: Float64Array, setting: readonly number[], line: number): ForceRow {
    const { pass, velocity, compression, rebound, gas, temperature, measured } = this.#plan;
    const numbers = this.#numbers;
    const from = this.#end;
    this.#end += this.#size;
    numbers[from + PASS] = pass < 0 ? 1 : values[pass]!;
    numbers[from + VELOCITY] = values[velocity]!;
    numbers[from + COMPRESSION] = values[compression]!;
    numbers[from + REBOUND] = values[rebound]!;
    numbers[from + GAS] = gas < 0 ? NaN : values[gas]!;
    numbers[from + TEMPERATURE] = temperature < 0 ? NaN : values[temperature]!;
    if (measured === undefined) return new PlainRow(line, setting, numbers, from);
    for (let i = 0; i < measured.length; i++) numbers[from + MEASURED + i] = values[measured[i]!]!;
    return new MeasuredPlainRow(line, setting, numbers, from);
  }
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

import type { ForceTable } from '../forceTable';
import { MEASURED_COLUMNS } from '../forceColumns';
import { findDelimiter, readTableHeader } from '../forceTableHeader';
import type { TableColumn } from '../forceTableHeader';
import { ProblemList, wholeLine } from '../problemText';
import { PLACES } from './numbersOfRows';
import { holdsControl, keptUpTo } from './understoodTexts';

/** What a header row without a fault says: the meaning of every cell of a row, and where each value goes. */
export interface TablePlan {
  /** Byte between two cells. */
  readonly delimiter: number;
  readonly cells: CellPlan;
  readonly adjusters: ForceTable['adjusters'];
  /** Whether the table has the columns that only results have, all of them. */
  readonly isMeasured: boolean;
}

/** What each cell of a row may hold, and its way to SI; one place a cell. Typed, as every cell of thousands of tables asks for it. */
export interface CellPlan {
  readonly count: number;
  /** Where among the numbers of a row it goes (`numbersOfRows.ts`). */
  readonly places: Uint16Array;
  /** As in a unit (quantities/unit.ts): a value is divided where the divisor is not 0, multiplied else, and then moved. */
  readonly divisors: Float64Array;
  readonly factors: Float64Array;
  readonly offsets: Float64Array;
  /** The smallest value allowed, and the one that it must be greater than; -Infinity where it may be any. */
  readonly least: Float64Array;
  readonly above: Float64Array;
  /** 1 for yes. */
  readonly whole: Uint8Array;
  readonly mayBeEmpty: Uint8Array;
}

/** A repository has a handful of header rows: one for each set of adjusters. */
const plans = keptUpTo<TablePlan | undefined>(200);

/** Understands a header row that is no longer than a line of text; undefined where it has a quotation mark or a fault. */
export function planOfHeader(text: string): TablePlan | undefined {
  return text.length > 2000 ? undefined : plans(text, makePlan);
}

function makePlan(text: string): TablePlan | undefined {
  if (/["\r]/.test(text) || holdsControl(text)) return undefined;
  const delimiter = findDelimiter(text);
  const faults = new ProblemList('', 'file-invalid');
  const columns = readTableHeader({ cells: text.split(delimiter), positionOf: () => wholeLine(1) }, faults);
  const known = columns.filter((column) => column !== undefined);
  if (faults.count > 0 || known.length !== columns.length) return undefined;
  const names = known.map((column) => (column.kind === 'value' ? column.column.name : undefined));
  const adjusters = known.filter((column) => column.kind === 'adjuster').map(({ id, unit }) => ({ id, unit }));
  let positions = PLACES.size;
  const places = Uint16Array.from(names, (name) => (name === undefined ? positions++ : PLACES.get(name)!));
  return {
    delimiter: delimiter.charCodeAt(0),
    cells: cellPlanOf(known, places),
    adjusters,
    isMeasured: Object.values(MEASURED_COLUMNS).every(({ name }) => names.includes(name)),
  };
}

function cellPlanOf(columns: readonly TableColumn[], places: Uint16Array): CellPlan {
  const values = columns.map((column) => (column.kind === 'value' ? column.column : undefined));
  const units = columns.map((column) => (column.kind === 'value' ? column.unit : undefined));
  return {
    count: columns.length,
    places,
    divisors: Float64Array.from(units, (unit) => unit?.divisor ?? 1),
    factors: Float64Array.from(units, (unit) => unit?.factor ?? 1),
    offsets: Float64Array.from(units, (unit) => unit?.offset ?? -0), // moved by 0 a value of -0 would be 0
    least: Float64Array.from(values, (value) => value?.least ?? -Infinity),
    above: Float64Array.from(values, (value) => value?.above ?? -Infinity),
    whole: Uint8Array.from(values, (value) => (value?.whole === true ? 1 : 0)),
    mayBeEmpty: Uint8Array.from(values, (value) => (value?.mayBeEmpty === true ? 1 : 0)),
  };
}

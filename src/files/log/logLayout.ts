import type { CsvDelimiter } from '../csv/csvBlock';
import type { LogColumn } from '../testLog';
import type { DecimalMark } from './cellNumber';

/** How the rows of one log are laid out, as its first lines and its mapping say. */
export interface LogLayout {
  readonly file: string;
  readonly delimiter: CsvDelimiter;
  /** From the mapping; else the first number with a mark decides. */
  readonly decimal: DecimalMark | undefined;
  /** Cells of the header, and so of every row. */
  readonly cells: number;
  /** The needed columns: time, displacement and force first, then the others as they stand in the file. */
  readonly columns: readonly LogColumn[];
  readonly headerLine: number;
  /** Line behind the header. */
  readonly bodyLine: number;
  /** Offset of that line in the file's bytes, a byte order mark included. */
  readonly bodyOffset: number;
}

import type { SourcePosition } from './problem';
import type { TestBasis } from './forceTable';

/** What a test log says of itself, from its preamble, its mapping and its path. */
export interface TestLogHead {
  readonly file: string;
  readonly spec?: string;
  readonly serial?: string;
  readonly build?: string;
  readonly date?: string;
  readonly bench?: string;
  readonly kind: 'staircase' | 'sweep' | 'endurance' | 'static' | 'replay';
  readonly run?: number;
  readonly sameMounting?: boolean;
  readonly retest?: { readonly of?: string; readonly reason?: string };
  readonly order?: 'rising' | 'falling';
  readonly basis: TestBasis;
  /** Setting from the preamble or the path; empty where adjuster columns carry it. */
  readonly setting: Readonly<Record<string, number>>;
  readonly columns: readonly LogColumn[];
  readonly headerLine: number;
  positionOf(key: string): SourcePosition;
}

export type LogRole = 'time' | 'displacement' | 'velocity' | 'force' | 'temperature' | 'adjuster';
export interface LogColumn {
  readonly role: LogRole;
  /** Name without its unit; the adjuster's id for role `adjuster`. */
  readonly name: string;
  /** UCUM code as understood; the adjuster's unit for role `adjuster`. */
  readonly unit: string;
  /** Position among the columns of the file, from 0. */
  readonly index: number;
  /** SI value = (text as number) x factor + offset; the sign of a reversed channel is in them. Adjuster columns are unchanged. */
  readonly factor: number;
  readonly offset: number;
}

/** Some consecutive rows of a log, SI. Every array has length `rows`. */
export interface LogChunk {
  /** Index of the first row in the log, from 0. */
  readonly firstRow: number;
  readonly rows: number;
  readonly time: Float64Array;
  readonly displacement: Float64Array;
  readonly force: Float64Array;
  readonly velocity?: Float64Array;
  readonly temperature?: Float64Array;
  /** In the order of the adjuster columns of the head. */
  readonly adjusters: readonly Float64Array[];
}

/** Finds the line of a data row; rows are not lines where a log has blank lines, comments or quoted line breaks. */
export interface LineOfRow {
  (row: number): number;
}

/** Some consecutive rows of a log, SI (m, m/s, N, s, K), positive in compression. Every array has length `rows`. */
export interface SampleChunk {
  /** Index of the first row in the log, from 0. */
  readonly firstRow: number;
  readonly rows: number;
  readonly time: Float64Array;
  readonly displacement: Float64Array;
  readonly force: Float64Array;
  readonly velocity?: Float64Array;
  readonly temperature?: Float64Array;
  /** One array per adjuster column of the log. */
  readonly adjusters: readonly Float64Array[];
}

/** Reference curves and results share one table: one row a setting and peak speed. SI; force positive in compression. */
export interface ForceTable {
  readonly file: string;
  readonly kind: 'reference' | 'result';
  readonly formatVersion: number;
  readonly spec: string;
  /** Line of the header row. */
  readonly headerLine: number;
  /** Adjuster columns in the order of the file; a row's setting has one value for each. */
  readonly adjusters: readonly { readonly id: string; readonly unit: string }[];
  readonly rows: readonly ForceRow[];
  readonly basis: TestBasis;
  /** The constant force taken off for damping force, for rows without their own. */
  readonly gas?: {
    readonly force: number;
    readonly temperature?: number;
    readonly source: 'fit' | 'static' | 'stated' | 'constant';
  };
  /** Reference curves only: how they came to be. */
  readonly adopted?: { readonly from: readonly string[]; readonly on?: string; readonly reason?: string };
  /** Results only. */
  readonly result?: ResultOrigin;
}

/** What two curves must share before they may be compared. An absent key is not compared, and is named. */
export interface TestBasis {
  readonly drive?: 'sine' | 'triangle' | 'other';
  /** [m] */
  readonly stroke?: number;
  readonly midPosition?: number;
  readonly forceZero?: 'unloaded' | 'mounted' | 'unknown';
  readonly temperatureAt?: 'body' | 'reservoir' | 'oil' | 'ambient';
}

/** A row may be a view of numbers that stand elsewhere: `copyOfRow` makes an object of one, where spreading it would lose them. */
export interface ForceRow {
  /** Line in the file; 0 where the table was never written. */
  readonly line: number;
  readonly setting: readonly number[];
  /** 1 unless the row repeats an earlier setting and velocity (column `pass`). */
  readonly pass: number;
  /** Planned peak speed where one is matched, else the achieved one, unsigned [m/s]. */
  readonly velocity: number;
  /** Load cell's force at peak speed [N]; rebound is negative as a rule. NaN where the cell is empty. */
  readonly compression: number;
  readonly rebound: number;
  readonly gas?: number | undefined;
  readonly temperature?: number | undefined;
  readonly measured?: MeasuredRow | undefined;
}

/** Columns that only results have. */
export interface MeasuredRow {
  readonly compressionVelocity: number;
  readonly reboundVelocity: number;
  readonly compressionU: number;
  readonly reboundU: number;
  readonly compressionK: number;
  readonly reboundK: number;
  readonly compressionDf: number;
  readonly reboundDf: number;
  readonly cycles: number;
  readonly energy: number;
}

export interface ResultOrigin {
  readonly serial: string;
  readonly build: string;
  readonly date?: string;
  readonly bench?: string;
  readonly run?: number;
  readonly sameMounting?: boolean;
  readonly retest?: { readonly of?: string; readonly reason?: string };
  /** Version of the analysis that wrote it. */
  readonly method?: number;
  readonly source: readonly { readonly path: string; readonly sha256: string }[];
  readonly inputs: { readonly spec?: string; readonly mapping?: string; readonly bench?: string };
  readonly reference?: { readonly path: string; readonly sha256: string };
  /** False where the bench's uncertainty is not in the U columns. */
  readonly benchIncluded?: boolean;
}

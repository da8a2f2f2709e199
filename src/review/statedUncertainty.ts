import type { Side } from '../analysis/side';
import type { MeasuredRow } from '../files/forceTable';

/** What a row states of one side's uncertainty; NaN where it does not. */
export interface StatedUncertainty {
  /** Expanded, 95 % [N]. */
  readonly U: number;
  /** Coverage factor. */
  readonly k: number;
  /** Degrees of freedom. */
  readonly df: number;
}

const NOTHING_STATED: StatedUncertainty = { U: NaN, k: NaN, df: NaN };

export function statedOf(measured: MeasuredRow | undefined, side: Side): StatedUncertainty {
  if (measured === undefined) return NOTHING_STATED;
  return side === 'compression'
    ? { U: measured.compressionU, k: measured.compressionK, df: measured.compressionDf }
    : { U: measured.reboundU, k: measured.reboundK, df: measured.reboundDf };
}

import { chiSquareQuantile } from '../statistics/distributions';
import { levelsOfSweep } from './sweep';
import type { AdjusterSweep } from './sweep';

export interface WholeEffect {
  /** Whether position moves damping at all beyond the uncertainty of the points (chi-square over the speeds, 1 %); undefined without uncertainties. */
  readonly shown?: boolean;
  /** Opening hardens on the whole: the sweep is counted from the other stop, or the adjuster works backwards. */
  readonly reversed: boolean;
}

const SHOWN_AT = 0.99;

/** What a sweep does as a whole, before its steps are looked at. */
export function wholeEffect(sweep: AdjusterSweep): WholeEffect {
  const { effect, effectU } = levelsOfSweep(sweep, 'equal-ratio');
  const reversed = effect.reduce((sum, w) => sum + w * Math.abs(w), 0) < 0;
  if (sweep.u === undefined) return { reversed };
  const squares = effect.reduce((sum, w, k) => sum + (w / effectU[k]!) ** 2, 0);
  return { shown: squares > chiSquareQuantile(SHOWN_AT, effect.length), reversed };
}

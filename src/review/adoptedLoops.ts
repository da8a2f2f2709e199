import type { RoughnessMeasure, RunAnalysis } from '../analysis/runAnalysis';
import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { Setting } from '../files/spec';
import { speedMatches } from './plannedVelocity';
import { settingKey } from './referenceCurves';

/** Ripple of a loop that the reference was adopted from: what is healthy for this model on a bench. */
export interface AdoptedRoughness {
  readonly setting: string;
  readonly side: Side;
  readonly speed: number;
  /** Unexplained force over the noise of that log. */
  readonly ratio: number;
}

/** @param table of the same run as the analysis: its adjusters are in the order of the analysed settings */
export function roughnessOfLoops(analysis: RunAnalysis, table: Pick<ForceTable, 'adjusters'>): AdoptedRoughness[] {
  return analysis.roughness.flatMap((rough) => {
    const speed = speedOfRoughness(analysis, rough);
    if (speed === undefined) return [];
    const setting = settingKey(settingOf(rough.setting, table));
    return [{ setting, side: rough.side, speed, ratio: rough.ratio }];
  });
}

/**
 * Ripple of the adopted loops at the setting, side and speed of a measured one; the largest where several were adopted. Undefined where
 * none was run there.
 */
export function adoptedRatio(
  adopted: readonly AdoptedRoughness[],
  rough: RoughnessMeasure,
  analysis: RunAnalysis,
  table: Pick<ForceTable, 'adjusters'>,
): number | undefined {
  const speed = speedOfRoughness(analysis, rough);
  if (speed === undefined || adopted.length === 0) return undefined;
  const setting = settingKey(settingOf(rough.setting, table));
  const alike = adopted.filter((a) => a.side === rough.side && a.setting === setting && speedMatches(a.speed, speed));
  return alike.length === 0 ? undefined : Math.max(...alike.map((a) => a.ratio));
}

function speedOfRoughness({ loops }: RunAnalysis, { key }: RoughnessMeasure): number | undefined {
  return loops.find((loop) => loop.key.log === key.log && loop.key.step === key.step)?.speed;
}

function settingOf(vector: readonly number[], { adjusters }: Pick<ForceTable, 'adjusters'>): Setting {
  return Object.fromEntries(adjusters.map(({ id }, i) => [id, vector[i] ?? NaN]));
}

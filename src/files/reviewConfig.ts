import type { SourcePosition } from './problem';
import type { RuleSettings } from './spec';

/** `damper-review.yaml` at the root: SI units; everything may be absent. */
export interface ReviewConfig {
  readonly file: string;
  readonly logs: readonly LogMapping[];
  readonly benches: Readonly<Record<string, Bench>>;
  readonly rules: RuleSettings;
  readonly waivers: readonly Waiver[];
  positionOf(keyPath: string): SourcePosition;
}

/** How the logs of a foreign bench are read. Also made from a CSVW metadata file, then with `files` naming the one log. */
export interface LogMapping {
  /** Where it comes from, for messages. */
  readonly file: string;
  /** Key path of this entry, such as `logs[0]`. */
  readonly keyPath: string;
  /** Glob over repository paths. */
  readonly files: string;
  readonly delimiter?: ',' | ';' | '\t';
  readonly decimal?: '.' | ',';
  readonly skipLines: number;
  /** Absent where the header follows the product's own format. Adjuster columns have role `adjuster` and the adjuster's id. */
  readonly columns?: readonly MappedColumn[];
  /** Values for preamble keys, as written there. */
  readonly preamble: Readonly<Record<string, unknown>>;
  /** Path pattern such as `incoming/{serial}/{build}/{setting.R}.csv`: what stands between the braces is a preamble key. */
  readonly fromPath?: string;
}
export interface MappedColumn {
  readonly role: 'time' | 'displacement' | 'velocity' | 'force' | 'temperature' | 'adjuster';
  readonly id?: string;
  readonly header: string;
  readonly unit: string;
  readonly positive: 'compression' | 'rebound';
}

/** Expanded uncertainties are for k = 2. Lengths in m, time in s, mass in kg. */
export interface Bench {
  readonly id: string;
  readonly loadCellU?: number;
  readonly loadCellRelativeU?: number;
  readonly displacementU?: number;
  readonly skewU?: number;
  readonly movingMass?: number;
  readonly conRod?: number;
  readonly calibrated?: string;
  /** [days] */
  readonly calibrationInterval?: number;
}

export interface Waiver {
  readonly rule: string;
  /** Glob over repository paths. */
  readonly file: string;
  readonly reason: string;
  readonly by: string;
  /** `YYYY-MM-DD`, the last day it holds. */
  readonly until: string;
  readonly position: SourcePosition;
}

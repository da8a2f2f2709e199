import type { Side } from '../analysis/side';
import type { Setting } from '../files/spec';

/** What explains the drift of a result, and what to do about it. It never changes a verdict. SI; signs as in `JudgedPoint`. */
export interface Correction {
  /**
   * `nothing`: no drift beyond its uncertainty. `none of these`: more than 30 % of it is left over. `not possible`: see `reasons`;
   * everything else is empty then.
   */
  readonly state: 'explained' | 'none of these' | 'nothing' | 'not possible';
  /** Largest share first. */
  readonly terms: readonly CorrectionTerm[];
  /** Share of the drift's squares that all terms together explain. */
  readonly explained: number;
  /** Names of causes that these points cannot tell apart, a list each. */
  readonly notSeparable: readonly (readonly string[])[];
  /** What it comes to and what to check next, the weightiest first. */
  readonly conclusions: readonly Conclusion[];
  /** What could not be tried, and what was taken for granted, one sentence each. */
  readonly reasons: readonly string[];
  /** Absent where no adjuster can be moved, or damping force is not known. */
  readonly advice: Advice | undefined;
  /** Points that took part. */
  readonly points: readonly CorrectionPoint[];
}

export type CauseKind = 'gas' | 'friction' | 'scale' | 'needle' | 'temperature';

export interface CorrectionTerm {
  /** `gas`, `friction`, `side scale compression`, `needle LSC`, `temperature`. */
  readonly cause: string;
  readonly kind: CauseKind;
  readonly side?: Side;
  readonly adjuster?: string;
  /** N; share of damping, harder positive (`1`); K warmer; or units of the adjuster away from its closed stop. */
  readonly value: number;
  readonly unit: string;
  /** Expanded uncertainty, 95 %. */
  readonly U: number;
  /** Share of the drift's squares. */
  readonly share: number;
  /** Explains so little that it is told besides. */
  readonly minor: boolean;
  /** Gas alone: the same as a change of pressure [Pa], where the rod is known. */
  readonly pressure?: { readonly value: number; readonly U: number };
}

export interface Conclusion {
  readonly text: string;
  /** What to check next. */
  readonly next: string;
}

export interface CorrectionPoint {
  /** Index of the judged point. */
  readonly point: number;
  /** F - F_ref, gas not taken off [N]. */
  readonly drift: number;
  /** What the terms make of it [N]. */
  readonly explained: number;
}

/** Clicks for a car that brings its setting nearest to the reference. */
export interface Advice {
  /** The setting as tested. */
  readonly setting: Setting;
  readonly groups: readonly AdvisedGroup[];
}

/** Adjusters that share a side, advised together. */
export interface AdvisedGroup {
  readonly adjusters: readonly { readonly id: string; readonly unit: string }[];
  readonly sides: readonly Side[];
  /** One answer: a click of each adjuster does at least four of its standard uncertainties. */
  readonly exact: boolean;
  /** Best first; all of them where the test cannot tell them apart. */
  readonly answers: readonly AdvisedSetting[];
  readonly asSet: AdvisedSetting;
  /** No setting inside the range brings every point inside. */
  readonly worn: boolean;
}

export interface AdvisedSetting {
  /** Adjusters of the group only. */
  readonly setting: Setting;
  /** Sum of all moves. */
  readonly moved: number;
  /** Largest |drift| / tolerance left; absent where the spec gives no tolerance. */
  readonly worst?: { readonly share: number; readonly side: Side; readonly velocity: number };
}

import type { ChangeTest } from '../analysis/significance/changeTest';
import type { Side } from '../analysis/side';
import type { ForceTable } from '../files/forceTable';
import type { Bench } from '../files/reviewConfig';
import type { Setting } from '../files/spec';
import type { RunToRun } from './runToRun';

/** One side of a comparison: a build, result, log or revision as the user named it. */
export interface ComparedRun {
  readonly label: string;
  readonly file: string;
  readonly serial: string;
  readonly build: string;
  readonly specId: string;
  readonly date?: string;
  readonly bench?: string;
  /** Data of that bench, where damper-review.yaml has any. */
  readonly benchData?: Bench;
  readonly table: ForceTable;
}

/** Damping forces [N] of both at one setting, side and planned speed; U expanded, 95 %. */
export interface ComparedPoint {
  readonly setting: Setting;
  readonly pass: number;
  readonly side: Side;
  readonly velocity: number;
  readonly a: number;
  readonly b: number;
  /** b - a. */
  readonly difference: number;
  readonly relative?: number;
  /** Of the difference, from the cycles of both and whatever their U holds; NaN where neither states one. */
  readonly uncertainty: number;
  readonly direction?: 'harder' | 'softer';
  readonly beyondScatter: boolean;
}

export interface Comparison {
  readonly a: ComparedRun;
  readonly b: ComparedRun;
  readonly points: readonly ComparedPoint[];
  /** Mean relative difference of each side over its points. */
  readonly mean: Readonly<Partial<Record<Side, number>>>;
  /** Rows that only one of them has. */
  readonly onlyA: readonly { readonly setting: Setting; readonly velocity: number }[];
  readonly onlyB: readonly { readonly setting: Setting; readonly velocity: number }[];
  /** Basis that differs or is not known on one side, in words. */
  readonly basis: readonly string[];
  /** Keys of the spec that differ, as written; empty where both share one spec file. */
  readonly specChanges: readonly { readonly key: string; readonly a: string; readonly b: string }[];
  /** Absent where no repeats are committed, and where the two are of two specs or are repeats of one build themselves. */
  readonly change?: BuildChange;
  /** What may be said of the difference: within cycle scatter, more than cycle scatter, or significant; and what is not in it. */
  readonly statement: string;
}

/**
 * Whether two tests ran on one bench in one state of calibration: only then is all that differs between two runs of one damper in the
 * scatter of its repeats.
 */
export type BenchRelation = 'same' | 'other bench' | 'calibrated between' | 'not stated';

/** The difference of two builds against runs that were repeated without a rebuild. */
export interface BuildChange extends ChangeTest {
  readonly repeats: Pick<RunToRun, 'units' | 'runs' | 'from'> & { readonly degreesOfFreedom: number };
  readonly bench: BenchRelation;
}

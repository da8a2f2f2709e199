import type { Reach } from '../../analysis/adjusters/reach';
import type { Side } from '../../analysis/side';
import type { Setting } from '../../files/spec';
import type { StepEnergies } from './energiesOfSweep';
import type { SideForces } from './sweepForces';

/** Why steps are listed but not judged, or that they are. */
export type StepJudging =
  | 'judged'
  /** Nothing shows that a setting comes back as it was. */
  | 'not repeated'
  /** The result states no uncertainties. */
  | 'no uncertainty'
  /** The median step is under 3 u. */
  | 'steps too small'
  /** Position moves nothing beyond the uncertainty of the points. */
  | 'no effect'
  /** Heat mixed with clicks. */
  | 'not closed'
  /** The law is as-reference, and the reference has no sweep over these positions. */
  | 'no reference sweep';

export type ReviewedLaw = 'equal' | 'equal-ratio' | 'as-reference';

export interface ReviewedStep {
  /** In the adjuster's own count, `from` below `to`. */
  readonly from: number;
  readonly to: number;
  /** This step over the median one (or over the reference's step), per unit. */
  readonly ratio: number;
  /** Expanded uncertainty of the ratio, k = 2; absent where none is known. */
  readonly U?: number;
  readonly outsideLimits: boolean;
  readonly uneven: boolean;
  readonly wrongWay: boolean;
}

/** What one adjuster moves on one side: change of |D| a unit opened [N], positive where opening softens, at each speed. */
export interface SideEffect {
  readonly speeds: readonly number[];
  readonly perUnit: readonly number[];
  /** Standard uncertainty of each; absent where none is known. */
  readonly u?: readonly number[];
}

export interface SweepClosure {
  readonly closed: boolean;
  /** Position that was run again. */
  readonly position: number;
  readonly side: Side;
  /** Second run less the first as a share of the first, mean over the speeds, and its expanded uncertainty. */
  readonly share: number;
  readonly U: number;
}

/** Effect on the other side over its own. */
export interface CrossTalkOfSweep {
  readonly share: number;
  /** Expanded uncertainty, k = 2; absent where none is known. */
  readonly U?: number;
  /** Beyond the spec's limit, its uncertainty and what noise shows. */
  readonly over: boolean;
}

/** What reports, editor and charts show of a sweep beside what its verdict rests on. */
export interface SweepShown {
  /** Forces of each side by position, as measured. */
  readonly forces: Readonly<Partial<Record<Side, SideForces>>>;
  readonly effects: Readonly<Partial<Record<Side, SideEffect>>>;
  /** Energy of a cycle that each step gains; undefined without energies. */
  readonly energies: StepEnergies | undefined;
  /** Undefined where the adjuster moves nothing. */
  readonly reach: Reach | undefined;
  /** Undefined for `both`, where the spec does not say the side, and where the adjuster moves nothing. */
  readonly crossTalk: CrossTalkOfSweep | undefined;
}

/** One sweep of one adjuster, with everything that rules, reports, editor and charts show of it. */
export interface AdjusterReview {
  readonly id: string;
  readonly unit: string;
  readonly countsFrom: 'closed' | 'open';
  /** Where the other adjusters stood. */
  readonly held: Setting;
  /** Side whose steps are judged: the spec's `acts.side`, else the side that moves. */
  readonly side: Side | 'both';
  readonly band?: readonly [number, number];
  /** Rising, in the adjuster's own count. */
  readonly positions: readonly number[];
  /** Full setting of each position. */
  readonly settings: readonly Setting[];
  readonly law: ReviewedLaw;
  /** Least and most a step may be over the median one; absent where the spec sets no tolerance for steps. */
  readonly limits?: { readonly least: number; readonly most: number };
  readonly judging: StepJudging;
  readonly steps: readonly ReviewedStep[];
  /** Median step: a share of damping a unit, or N with the law `equal`, at the speed of largest effect. */
  readonly medianStep?: number;
  /** Natural scatter of steps that judging allowed for. */
  readonly scatter: number;
  /** Opening hardens on the whole. */
  readonly reversed: boolean;
  /** From this position towards open nothing moves; the closed end where the adjuster moves nothing at all. */
  readonly deadFrom?: number;
  /** Limit of the effect on the other side over its own, where the spec sets one. */
  readonly crossLimit: number | undefined;
  /** Absent where no setting of the sweep was run again. */
  readonly closure?: SweepClosure;
  readonly details: SweepShown;
}

export interface Separability {
  readonly condition: number;
  /** Adjusters that the points cannot tell apart. */
  readonly notSeparable: readonly string[];
}

export interface AdjustersReview {
  readonly sweeps: readonly AdjusterReview[];
  /** Whether the adjusters swept can be told apart; absent with fewer than two. */
  readonly separability?: Separability | undefined;
}

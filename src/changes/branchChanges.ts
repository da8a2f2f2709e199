import type { RevisionBase } from '../ports/revisions';
import type { Finding } from '../review/finding';
import type { JudgedResult, Verdict } from '../review/judgedResult';
import type { RepositoryMoves } from '../session/repositoryMoves';
import type { TurnedResult } from './causes';

/** What a branch does to one result, or to the run of logs that no result names. */
export interface ChangedResult {
  readonly file: string;
  /** Its former path, where it was renamed. */
  readonly from?: string;
  /** `unchanged`: no file of its own differs, what it is judged by does. */
  readonly change: 'added' | 'removed' | 'changed' | 'renamed' | 'unchanged';
  readonly before?: JudgedResult;
  readonly after?: JudgedResult;
}

export interface ChangedLog {
  readonly file: string;
  readonly change: 'added' | 'removed' | 'changed';
}

/** A branch held against the commit that it left: the same for terminal, JSON, pull request and editor. */
export interface BranchChanges {
  readonly method: number;
  readonly base: RevisionBase;
  readonly head: {
    readonly commit?: string;
    /** Whether the work tree holds more than that commit. */ readonly uncommitted: boolean;
  };
  /** Specs, curves and damper-review.yaml. */
  readonly moves: RepositoryMoves;
  /** Results with a file of their own that differs, and those that turned; by file. */
  readonly results: readonly ChangedResult[];
  readonly logs: readonly ChangedLog[];
  readonly turned: readonly TurnedResult[];
  /** About the branch first, then those of the results above and of changed files. */
  readonly findings: readonly Finding[];
  /** What could not be looked at, in sentences. */
  readonly notes: readonly string[];
  /** The worst of the results above as they are now; pass where there is none. */
  readonly verdict: Verdict;
  readonly unreadable: boolean;
}

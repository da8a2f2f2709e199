import type { Finding } from './finding';
import type { Verdict } from './judgedResult';

/** Text as it is, or as bytes of UTF-8 from one place to another. */
export type TextPiece = string | { readonly bytes: Uint8Array; readonly from: number; readonly end: number };

/** What a face tells of one result, ready to be put together. */
export interface TextOfResult {
  /** The result file, or the first log where no result is committed. */
  readonly file: string;
  readonly verdict: Verdict;
  /** Equal for results of one name. */
  readonly name: number;
  readonly head: TextPiece;
  /** All that a face has to say beyond the head; absent where the head alone is told (`inFull`). */
  readonly rest?: TextPiece;
}

export interface RuleCount {
  readonly rule: string;
  readonly count: number;
}

/** How many findings there are, each counted once: those that count by level, and waived ones. */
export type FindingCounts = Readonly<Record<Finding['level'] | 'waived', number>>;

/** Everything one `check` found, as a face tells of it. */
export interface ToldOutcome {
  readonly verdict: Verdict;
  /** Failures first, then undecided, then passes; by file within. */
  readonly results: readonly TextOfResult[];
  /** Of results whose head alone is told, how many findings of each rule there are, the most frequent first. */
  readonly untold: readonly RuleCount[];
  readonly counts: FindingCounts;
  /** Findings that belong to no result, worst first, as far as they are told (`inFullOfFiles`). */
  readonly ofFiles: readonly TextPiece[];
  /** How many of each rule there are besides, none of them an error that counts; the most frequent first. */
  readonly untoldOfFiles: readonly RuleCount[];
  /** True where a file could not be read: exit status 2. */
  readonly unreadable: boolean;
}

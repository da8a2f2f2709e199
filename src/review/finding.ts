import type { FindingLevel } from '../files/spec';
import type { SourcePosition } from '../files/problem';
import type { Side } from '../analysis/side';

/** Something the review noticed: for a person at the bench, at a place in a file, with its numbers. */
export interface Finding {
  /** Id of a rule of the catalogue. */
  readonly rule: string;
  readonly level: Exclude<FindingLevel, 'off'>;
  readonly file: string;
  readonly position: SourcePosition;
  /** One or two plain sentences. May hold text from files: escape it where it is shown. */
  readonly message: string;
  /** What to check or do next. */
  readonly next: string;
  /** Numbers with their unit in the key, such as `drift_N`; texts where a number does not fit. */
  readonly evidence: Readonly<Record<string, number | string>>;
  readonly side?: Side;
  /** Other rows that belong to it. */
  readonly related?: readonly { readonly position: SourcePosition; readonly message: string }[];
  /** Set where a waiver of damper-review.yaml covers it: it stays listed and no longer counts. */
  readonly waived?: { readonly reason: string; readonly by: string; readonly until: string };
}

import type { FindingLevel } from '../../files/spec';

/** A limit that `rules: { ID: { limit: ... } }` in a spec or in damper-review.yaml replaces. SI, or a fraction with unit `1`. */
export interface RuleLimit {
  readonly value: number;
  readonly unit: 'm' | 's' | '1';
  /** What the number limits, in words. */
  readonly of: string;
}

/** What the catalogue knows of a rule, apart from how it is judged. */
export interface RuleText {
  /** Default level; `off` is never a default. */
  readonly level: Exclude<FindingLevel, 'off'>;
  /** A few words, for lists and headings. */
  readonly title: string;
  /** One sentence for the person at the bench. */
  readonly sentence: string;
  /** What to check or do next. */
  readonly next: string;
  /** Usual causes, the likeliest first; empty where the finding names its own. */
  readonly causes: readonly string[];
  /** What this finding, or its absence, cannot tell; one sentence. */
  readonly cannotTell?: string;
  readonly limit?: RuleLimit;
}

export interface RuleEntry extends RuleText {
  readonly id: string;
  /** Page of the rule, from the project's root. Absent while nothing raises the rule yet. */
  readonly docs?: string;
}

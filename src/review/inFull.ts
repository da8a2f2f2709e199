import type { RuleCount } from './toldOutcome';
import type { Verdict } from './judgedResult';

/**
 * So many results are told with all that is known of them, and any that passed in spite of an error; of the others the head is. Of hundreds of
 * failures nobody reads the sheets one after the other, and what explains a drift is sought for those alone that are told.
 */
export const MOST_IN_FULL = 20;

/** What decides whether a result is told in full. */
export interface Tellable {
  readonly verdict: Verdict;
  /** Whether it has any finding, and an error that counts. */
  readonly isNoted: boolean;
  readonly hasError: boolean;
}

/** Which results are told in full. @param results in the order in which they are told */
export function inFull<Result>(results: readonly Result[], look: (result: Result) => Tellable): ReadonlySet<Result> {
  const chosen = new Set<Result>();
  let left = MOST_IN_FULL;
  for (const result of results) {
    const { verdict, isNoted, hasError } = look(result);
    if (verdict === 'pass' && !isNoted) continue; // its head is all there is
    if (left > 0) left -= 1;
    else if (verdict !== 'pass' || !hasError) continue;
    chosen.add(result);
  }
  return chosen;
}

/** How many findings that belong to no result are told, the first ones: as many as results, and errors in any case. */
export function inFullOfFiles<Found>(findings: readonly Found[], isError: (finding: Found) => boolean): number {
  return Math.min(findings.length, Math.max(MOST_IN_FULL, findings.filter(isError).length));
}

/** How many findings of each rule there are, the most frequent first, of equal ones by name. */
export function countsOfRules(findings: readonly { readonly rule: string }[]): readonly RuleCount[] {
  const counts = new Map<string, number>();
  for (const { rule } of findings) counts.set(rule, (counts.get(rule) ?? 0) + 1);
  return byFrequency(counts);
}

/** The most frequent rule first, of equal ones by name. */
export function byFrequency(counts: ReadonlyMap<string, number>): readonly RuleCount[] {
  return [...counts]
    .map(([rule, count]) => ({ rule, count }))
    .sort((a, b) => b.count - a.count || (a.rule < b.rule ? -1 : 1));
}

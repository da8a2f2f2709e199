import type { EntryState, JudgedVerdict, RepositoryState } from '../session/repositoryState';

/** One result, or run of logs that no result names, at the base and at the end of a branch. */
export interface EntryPair {
  readonly base?: EntryState;
  readonly head?: EntryState;
}

/** A pair with its verdicts, as far as each side can be judged. */
export interface JudgedPair extends EntryPair {
  readonly before?: JudgedVerdict;
  readonly after?: JudgedVerdict;
}

/**
 * Pairs the entries of two states: the same file; a result with the run that its logs were before it was written. What is left may have been
 * renamed, which is seen only once it is judged.
 */
export function pairEntries(base: RepositoryState, head: RepositoryState): readonly EntryPair[] {
  const left = new Map(base.entries);
  const pairs: EntryPair[] = [];
  const alone: EntryState[] = [];
  for (const [text, entry] of head.entries) {
    const same = left.get(text);
    if (same === undefined) alone.push(entry);
    else pairs.push({ base: same, head: entry });
    left.delete(text);
  }
  const byLog = new Map([...left.values()].flatMap((entry) => entry.head.logs.map((log) => [log, entry] as const)));
  for (const entry of alone) {
    const found = entry.head.logs.map((log) => byLog.get(log)).find((one) => one !== undefined && left.has(one.text));
    if (found !== undefined) left.delete(found.text);
    pairs.push({ head: entry, ...(found !== undefined && { base: found }) });
  }
  return [...pairs, ...[...left.values()].map((entry) => ({ base: entry }))];
}

/** Joins what was at the base alone with what is at the end alone, where `same` takes them for one test. */
export function joinRenamed(
  pairs: readonly JudgedPair[],
  same: (before: JudgedPair, after: JudgedPair) => boolean,
): readonly JudgedPair[] {
  const gone = pairs.filter((pair) => pair.head === undefined && pair.before !== undefined);
  const joined = pairs.map((pair) => {
    if (pair.base !== undefined || pair.after === undefined) return pair;
    const at = gone.findIndex((one) => same(one, pair));
    const [before] = at < 0 ? [] : gone.splice(at, 1);
    return before === undefined ? pair : { ...before, ...pair };
  });
  const used = new Set(joined.flatMap(({ base, head }) => (base !== undefined && head !== undefined ? [base] : [])));
  return joined.filter((pair) => pair.head !== undefined || pair.base === undefined || !used.has(pair.base));
}

/** Whether a file of the entry itself differs, its result or a log. @param changed paths of files whose content differs */
export function isOwn({ base, head }: EntryPair, changed: ReadonlySet<string>): boolean {
  return [base, head].some(
    (entry) => entry !== undefined && [entry.file, ...entry.head.logs].some((path) => changed.has(path)),
  );
}

/** The result wherever there is one, else the first log. */
export function fileOf({ base, head }: EntryPair): string {
  if (base?.isResult === true && head?.isResult === false) return base.file;
  return (head ?? base)!.file;
}

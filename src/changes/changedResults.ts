import type { ChangedResult } from './branchChanges';
import type { TurnedResult } from './causes';
import { fileOf, isOwn, type JudgedPair } from './entryPairs';
import type { JudgedSides } from './judgedSides';

/** Results with a file of their own that differs, and those that turned. The session shows head from here on. */
export async function changedResults(
  judged: JudgedSides,
  pairs: readonly JudgedPair[],
  turned: readonly TurnedResult[],
  changed: ReadonlySet<string>,
): Promise<readonly ChangedResult[]> {
  const files = new Set(turned.map(({ file }) => file));
  const shown = pairs.filter(
    (pair) => (isOwn(pair, changed) || files.has(fileOf(pair))) && (pair.before ?? pair.after) !== undefined,
  );
  await judged.complete(shown);
  const results = shown.map((pair): ChangedResult => {
    const { base, head } = pair;
    const file = fileOf(pair);
    const [was, is] = [base?.isResult === true && base.file, head?.isResult === true && head.file];
    const from = typeof was === 'string' && typeof is === 'string' && was !== is ? was : undefined;
    const change = from !== undefined ? 'renamed' : changeOf(pair, isOwn(pair, changed));
    const [before, after] = [judged.of('base', base), judged.of('head', head)];
    return { file, change, ...(from !== undefined && { from }), ...(before && { before }), ...(after && { after }) };
  });
  return results.sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** A result that is written for logs which were judged before is added, and one that is taken away is removed, though its logs stay. */
function changeOf({ base, head }: JudgedPair, own: boolean): ChangedResult['change'] {
  if (base === undefined || (!base.isResult && head?.isResult === true)) return 'added';
  if (head === undefined || (base.isResult && !head.isResult)) return 'removed';
  return own ? 'changed' : 'unchanged';
}

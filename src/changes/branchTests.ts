import type { TestOfBuild } from '../review/branch/testOfBuild';
import { branchFindings, sameTest, testOf } from '../session/branchFindings';
import { todayOf, type RepositoryState } from '../session/repositoryState';
import type { RepositoryMoves } from '../session/repositoryMoves';
import type { BranchChanges } from './branchChanges';
import { crept, passedAhead, replacedTests, type HistoryWork } from './branchHistory';
import type { TurnedResult } from './causes';
import type { JudgedPair } from './entryPairs';
import type { RewrittenResult } from './rewrittenResults';

/** Both states of a repository. */
export interface Sides {
  readonly base: RepositoryState;
  readonly head: RepositoryState;
}

/** Every judged entry as a test of its build, at the base and at the end. */
export interface Tests {
  readonly before: ReadonlyMap<JudgedPair, TestOfBuild>;
  readonly after: ReadonlyMap<JudgedPair, TestOfBuild>;
}

export function testsOf(pairs: readonly JudgedPair[], changed: ReadonlySet<string>): Tests {
  const before = new Map<JudgedPair, TestOfBuild>();
  const after = new Map<JudgedPair, TestOfBuild>();
  for (const pair of pairs) {
    if (pair.base && pair.before)
      before.set(pair, testOf(pair.base, pair.before, { found: { words: 'at the base' }, fresh: false }));
  }
  const known = [...before.values()];
  for (const pair of pairs) {
    if (!pair.head || !pair.after) continue;
    const test = testOf(pair.head, pair.after, { found: 'head', fresh: true });
    const own = [pair.head.file, ...pair.head.head.logs].some((file) => changed.has(file));
    after.set(pair, { ...test, fresh: own && !known.some((other) => sameTest(other, test)) });
  }
  return { before, after };
}

export interface Told {
  readonly history: HistoryWork;
  readonly sides: Sides;
  readonly moves: RepositoryMoves;
  readonly tests: Tests;
  readonly turned: readonly TurnedResult[];
  readonly rewritten: readonly RewrittenResult[];
  readonly changed: ReadonlySet<string>;
}

/** What is said of the branch as a whole. */
export async function tellBranch(told: Told): Promise<BranchChanges['findings']> {
  const { history, sides, moves, tests, turned, rewritten, changed } = told;
  const fresh = [...tests.after].flatMap(([{ head }, test]) => (test.fresh && head ? [{ entry: head, test }] : []));
  const named = fresh.some(({ test }) => test.serial !== '' && test.build !== '');
  const replaced = named ? await replacedTests(history, (blobs) => keptBlobs(history, blobs)) : [];
  return branchFindings({
    ...sides,
    moves,
    turned,
    tests: [...tests.after.values(), ...tests.before.values(), ...replaced],
    renamed: renamedTests(tests, changed),
    rewritten: rewritten
      .filter(({ parts }) => parts.includes('method'))
      .map(({ file, before, after }) => ({ file, before: before.method, after: after.method })),
    ahead: await passedAhead(history, fresh, changed),
    steps: await crept(history, moves),
    today: await history.session.run(todayOf, history.options),
  });
}

/** Those of some contents that the base or the last commit still hold, whatever their names. */
async function keptBlobs({ revisions, base }: HistoryWork, blobs: readonly string[]): Promise<ReadonlySet<string>> {
  const head = await revisions.head();
  const last = head === undefined ? undefined : await revisions.filesAt(head);
  return new Set([...base.blobs.among(blobs), ...(last?.blobs.among(blobs) ?? [])]);
}

/** Tests of the branch that the base has under another serial or build, and not under this one. */
function renamedTests(
  tests: Tests,
  changed: ReadonlySet<string>,
): readonly { before: TestOfBuild; after: TestOfBuild }[] {
  const before = [...tests.before.values()].filter(({ serial }) => serial !== '');
  return [...tests.after].flatMap(([{ head }, after]) => {
    if (head === undefined || ![head.file, ...head.head.logs].some((file) => changed.has(file))) return [];
    const same = before.filter((test) => sameTest(test, after));
    const [other] = same;
    return other === undefined || same.some((test) => isOfBuild(test, after)) ? [] : [{ before: other, after }];
  });
}

function isOfBuild(a: TestOfBuild, b: TestOfBuild): boolean {
  return a.serial === b.serial && a.build === b.build;
}

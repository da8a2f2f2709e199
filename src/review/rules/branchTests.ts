import { isSameTest, type TestOfBuild } from '../branch/testOfBuild';
import type { Finding } from '../finding';
import { countText, listText, percentText, unitLabel } from '../wording';
import { raiseInBranch, turnedText, turnedWith, type BranchContext } from './branchContext';
import { rowText } from './branchSpecs';
import type { RowMove } from '../branch/referenceMove';

const MOST_NAMED = 4;

/**
 * A build that was tested before and again in this branch, where the later log does not declare it. The earlier tests are those of the base
 * and of every commit on the way: that only the passing log is kept is what this is for.
 */
export function retestNotDeclared(context: BranchContext, tests: readonly TestOfBuild[]): readonly Finding[] {
  return tests.flatMap((test) => {
    if (!test.fresh || test.retest || test.found !== 'head' || test.serial === '' || test.build === '') return [];
    const others = tests.filter((other) => other !== test && other.key === test.key && !isSameTest(other, test));
    const earlier = distinct(others.filter((other) => isEarlier(other, test)));
    if (earlier.length === 0) return [];
    const gone = earlier.filter(
      (other) => other.found !== 'head' && !others.some((one) => one.found === 'head' && isSameTest(one, other)),
    );
    return raiseInBranch(context, 'retest-not-declared', {
      at: { file: test.file, position: { line: Math.max(1, test.table.headerLine), column: 1 } },
      message: `${unitLabel(test)} was tested before: ${listText(earlier.slice(0, MOST_NAMED).map(testText))}.${keptText(gone)} The new test does not say that it is a retest.`,
      evidence: {
        earlierTests: earlier.length,
        notKept: gone.length,
        earlierVerdicts: earlier.map(({ verdict }) => verdict).join(', '),
      },
    });
  });
}

function keptText(gone: readonly TestOfBuild[]): string {
  if (gone.length === 0) return '';
  return ` Of ${countText(gone.length, 'earlier test')} nothing is kept${gone.every((one) => one.verdict === 'fail') ? ', and it failed' : ''}.`;
}

function testText({ verdict, date, file, found }: TestOfBuild): string {
  const when = date === '' ? '' : ` of ${date.slice(0, 10)}`;
  const where = found === 'head' ? '' : `, ${found.words}`;
  return `${verdict}${when} (${file}${where})`;
}

/** One of each: a result and the log that it was reduced from are one test. */
function distinct(tests: readonly TestOfBuild[]): readonly TestOfBuild[] {
  return tests.filter((test, i) => !tests.slice(0, i).some((other) => isSameTest(other, test)));
}

/** By date where both have one; else what the base had came first. */
function isEarlier(other: TestOfBuild, test: TestOfBuild): boolean {
  if (other.date !== '' && test.date !== '' && other.date !== test.date) return other.date < test.date;
  return !other.fresh || other.found !== 'head';
}

/** A test that bears another serial or build than it did. */
export function historyBroken(
  context: BranchContext,
  renamed: readonly { readonly before: TestOfBuild; readonly after: TestOfBuild }[],
): readonly Finding[] {
  return renamed.flatMap(({ before, after }) =>
    raiseInBranch(context, 'history-broken', {
      at: { file: after.file, position: { line: Math.max(1, after.table.headerLine), column: 1 } },
      message: `The same measurement was ${unitLabel(before)} in ${before.file} at the base, and is ${unitLabel(after)} now.`,
      evidence: { was: `${before.serial}/${before.build}`, is: `${after.serial}/${after.build}`, wasIn: before.file },
    }),
  );
}

/** Results that another version of the analysis wrote than at the base. */
export function methodMoved(
  context: BranchContext,
  results: readonly {
    readonly file: string;
    readonly before: number | undefined;
    readonly after: number | undefined;
  }[],
): readonly Finding[] {
  const groups = new Map<string, { file: string; line: string; count: number }>();
  for (const { file, before, after } of results) {
    const line = `method ${before ?? 'unknown'} before, method ${after ?? 'unknown'} now`;
    const group = groups.get(line);
    groups.set(line, { file: group?.file ?? file, line, count: (group?.count ?? 0) + 1 });
  }
  return [...groups.values()].flatMap(({ file, line, count }) =>
    raiseInBranch(context, 'method-moved', {
      at: { file, position: { line: 1, column: 1 } },
      message: `${countText(count, 'result was', 'results were')} written again by another version of the analysis: ${line}.${turnedText(turnedWith(context, 'method'))}`,
      evidence: { results: count, methods: line },
    }),
  );
}

/** A move of a reference before this branch, seen from a result that passes by it alone. */
export interface ReferenceAhead {
  readonly test: TestOfBuild;
  /** Commit that moved the reference, and its day. */
  readonly commit: string;
  readonly day: string;
  readonly referenceFile: string;
  /** Verdict by the reference before that move. */
  readonly without: string;
}

/** Several moves that each stay inside the tolerance and together do not. */
export interface ReferenceInSteps {
  readonly spec: string;
  readonly file: string;
  readonly moves: number;
  readonly since: string;
  readonly day: string;
  readonly worst: RowMove;
}

export function referenceCrept(
  context: BranchContext,
  ahead: readonly ReferenceAhead[],
  steps: readonly ReferenceInSteps[],
): readonly Finding[] {
  return [
    ...ahead.flatMap(({ test, commit, day, referenceFile, without }) =>
      raiseInBranch(context, 'reference-crept', {
        at: { file: test.file, position: { line: Math.max(1, test.table.headerLine), column: 1 } },
        message: `${unitLabel(test)} passes only since ${referenceFile} was moved in ${commit.slice(0, 12)} on ${day}${test.date === '' ? '' : `, after the test of ${test.date.slice(0, 10)}`}; by the reference before that it is ${without}.`,
        evidence: { commit: commit.slice(0, 12), moved: day, without },
      }),
    ),
    ...steps.flatMap(({ spec, file, moves, since, day, worst }) =>
      raiseInBranch(context, 'reference-crept', {
        at: { file, position: { line: Math.max(1, worst.line), column: 1 } },
        message: `${spec}: ${moves} moves since ${since.slice(0, 12)} of ${day}, none of them larger than the tolerance, come to ${percentText(worst.share ?? 0)} of it: ${rowText(worst)}.`,
        evidence: {
          moves,
          since: since.slice(0, 12),
          percent_of_tolerance: Math.round(1000 * (worst.share ?? 0)) / 10,
        },
      }),
    ),
  ];
}

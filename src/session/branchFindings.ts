import type { Finding } from '../review/finding';
import type { ReferenceMove } from '../review/branch/referenceMove';
import { referenceMove } from '../review/branch/referenceMove';
import type { TurnedVerdict } from '../review/branch/repositoryMoves';
import type { TestOfBuild } from '../review/branch/testOfBuild';
import { isSameTest } from '../review/branch/testOfBuild';
import type { BranchContext } from '../review/rules/branchContext';
import { benchDataMoved, levelsMoved, mappingMoved, waiverAdded } from '../review/rules/branchConfig';
import { referenceMoved, referenceRowsRemoved, testPlanNarrowed, toleranceMoved } from '../review/rules/branchSpecs';
import {
  historyBroken,
  methodMoved,
  referenceCrept,
  retestNotDeclared,
  type ReferenceAhead,
  type ReferenceInSteps,
} from '../review/rules/branchTests';
import { applyWaivers } from '../review/waivers';
import type { ForceTable } from '../files/forceTable';
import { matchesGlob } from '../files/globs';
import type { Tolerances } from '../files/spec';
import { METHOD_VERSION } from '../analysis/method';
import type { JudgedResult, Verdict } from '../review/judgedResult';
import { verdictOfAll } from '../review/outcome';
import type { EntryState, JudgedVerdict, RepositoryState } from './repositoryState';
import type { RepositoryMoves } from './repositoryMoves';

/** All that is said of a branch as a whole. */
export interface BranchFacts {
  readonly base: RepositoryState;
  readonly head: RepositoryState;
  readonly moves: RepositoryMoves;
  readonly turned: readonly TurnedVerdict[];
  readonly tests: readonly TestOfBuild[];
  readonly renamed: readonly { readonly before: TestOfBuild; readonly after: TestOfBuild }[];
  readonly rewritten: readonly {
    readonly file: string;
    readonly before: number | undefined;
    readonly after: number | undefined;
  }[];
  readonly ahead: readonly ReferenceAhead[];
  readonly steps: readonly ReferenceInSteps[];
  /** `YYYY-MM-DD` */
  readonly today: string;
}

/** Findings about the branch, what it moves first. Levels and waivers are those of the base: a branch cannot waive what is said of it. */
export function branchFindings(facts: BranchFacts): readonly Finding[] {
  const { base, moves, turned } = facts;
  const context: BranchContext = { rules: base.config.rules, turned };
  const { specs, config } = moves;
  const found = [
    ...specs.flatMap((move) => referenceMoved(context, move)),
    ...specs.flatMap((move) => referenceRowsRemoved(context, move)),
    ...specs.flatMap((move) => toleranceMoved(context, move)),
    ...levelsMoved(context, config),
    ...specs.flatMap((move) => testPlanNarrowed(context, move)),
    ...benchDataMoved(context, config, benchesOf(base)),
    ...waiverAdded(context, config),
    ...mappingMoved(context, config, logsReadOtherwise(facts)),
    ...methodMoved(context, facts.rewritten),
    ...referenceCrept(context, facts.ahead, facts.steps),
    ...retestNotDeclared(context, facts.tests),
    ...historyBroken(context, facts.renamed),
  ];
  return applyWaivers(found, base.config.waivers, facts.today);
}

function benchesOf({ entries }: RepositoryState): ReadonlySet<string> {
  return new Set([...entries.values()].flatMap(({ bench }) => (bench === undefined ? [] : [bench])));
}

/** Logs of the base that a moved mapping claims or claimed, by its pattern. */
function logsReadOtherwise({ base, moves }: BranchFacts): ReadonlyMap<string, number> {
  const logs = [...new Set([...base.entries.values()].flatMap(({ head }) => head.logs))];
  return new Map(
    moves.config.mappings.map(({ name }) => [name, logs.filter((log) => matchesGlob(name, log)).length] as const),
  );
}

/** How far curves moved, by the tolerances of a spec. */
export function movedBetween(before: ForceTable, after: ForceTable, tolerances: Tolerances): ReferenceMove {
  return referenceMove(before, after, tolerances);
}

/** A judged entry as one of the tests of its build. */
export function testOf(
  entry: EntryState,
  result: JudgedVerdict,
  where: Pick<TestOfBuild, 'found' | 'fresh'>,
): TestOfBuild {
  const { spec, specPath, serial, build, run, setting, date } = entry.head;
  return {
    file: entry.file,
    spec,
    serial,
    build,
    date,
    verdict: result.verdict,
    logs: result.table.result?.source.map(({ sha256 }) => sha256) ?? [],
    table: result.table,
    retest: entry.retest,
    key: JSON.stringify([specPath ?? spec, serial, build, run, setting]),
    ...where,
  };
}

export function sameTest(a: TestOfBuild, b: TestOfBuild): boolean {
  return isSameTest(a, b);
}

export function worstVerdict(results: readonly JudgedResult[]): Verdict {
  return results.length === 0 ? 'pass' : verdictOfAll(results);
}

export const METHOD = METHOD_VERSION;

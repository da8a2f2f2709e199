import { FilePortError } from '../ports/repositoryFiles';
import type { FileVersion, RevisionFiles, Revisions } from '../ports/revisions';
import type { TestOfBuild } from '../review/branch/testOfBuild';
import type { ReferenceAhead, ReferenceInSteps } from '../review/rules/branchTests';
import type { ForceTable } from '../files/forceTable';
import type { FileKind } from '../files/recognise';
import { movedBetween, testOf } from '../session/branchFindings';
import {
  entriesOfFile,
  referencesOf,
  verdictsOf,
  type EntryState,
  type RepositoryState,
} from '../session/repositoryState';
import type { RepositoryMoves } from '../session/repositoryMoves';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { PastOfBranch } from './pastOfBranch';
import type { BranchStates } from './branchStates';
import type { Shown } from './shownFiles';

export interface HistoryWork {
  readonly revisions: Revisions;
  readonly past: PastOfBranch;
  readonly session: ReviewSession;
  readonly states: BranchStates;
  readonly base: RevisionFiles;
  readonly head: RepositoryState;
  readonly options: RunOptions;
  /** Takes a sentence about what could not be looked at. */
  readonly note: (sentence: string) => void;
}

/** So many contents that a branch replaced on its way are looked at; more than that is a repository being rebuilt. */
const MOST_REPLACED = 60;
const MOST_BYTES = 256 * 1024 * 1024;

/**
 * Tests that commits on the way held and the end of the branch does not: each judged as it was, by today's spec and reference.
 * @param keptOf tells which of some contents the base or the last commit hold
 */
export async function replacedTests(
  work: HistoryWork,
  keptOf: (blobs: readonly string[]) => Promise<ReadonlySet<string>>,
): Promise<readonly TestOfBuild[]> {
  const { past, head, note } = work;
  const replaced = (await past.replaced()).filter(({ path }) => isTest(head.kindOf(path)));
  const kept = await keptOf(replaced.map(({ blob }) => blob));
  const wanted = replaced.filter(({ blob }) => !kept.has(blob));
  const versions = [...new Map(wanted.map((version) => [version.blob, version])).values()];
  if (versions.length > MOST_REPLACED)
    note(`${versions.length - MOST_REPLACED} more earlier contents of logs and results were not looked at.`);
  const tests: TestOfBuild[] = [];
  for (const version of versions.slice(0, MOST_REPLACED)) {
    const bytes = await bytesOf(work, version);
    if (bytes !== undefined) tests.push(...(await testsOfVersion(work, version, bytes)));
  }
  return tests;
}

function isTest(kind: FileKind | undefined): boolean {
  return kind === 'testLog' || kind === 'result';
}

async function testsOfVersion(
  work: HistoryWork,
  version: FileVersion,
  bytes: Uint8Array,
): Promise<readonly TestOfBuild[]> {
  const { session, states, head, options } = work;
  // A result that names the log as its source would hide it.
  const hiding = [...head.entries.values()].filter(
    ({ isResult, head: { logs }, file }) => isResult && logs.includes(version.path) && file !== version.path,
  );
  states.showHeadWith(
    new Map<string, Shown>([[version.path, bytes], ...hiding.map(({ file }) => [file, 'absent'] as const)]),
  );
  const words = `until ${version.commit.slice(0, 12)}`;
  return session.run(async (run) => {
    const entries = await entriesOfFile(run, version.path);
    const judged = await verdictsOf(
      run,
      entries.map(({ text }) => text),
    );
    return entries.flatMap((entry): TestOfBuild[] => {
      const result = judged.get(entry.text);
      return result === undefined ? [] : [testOf(entry, result, { found: { words }, fresh: true })];
    });
  }, options);
}

/** Tests of the branch that pass only by a reference that was moved after them and before the branch. */
export async function passedAhead(
  work: HistoryWork,
  fresh: readonly { readonly entry: EntryState; readonly test: TestOfBuild }[],
  changed: ReadonlySet<string>,
): Promise<readonly ReferenceAhead[]> {
  const found: ReferenceAhead[] = [];
  const byReference = new Map<string, { entry: EntryState; test: TestOfBuild }[]>();
  for (const one of fresh) {
    const reference = work.head.specs.get(one.entry.head.specPath ?? '')?.spec.reference;
    if (one.test.verdict !== 'pass' || reference === undefined || changed.has(reference)) continue;
    byReference.set(reference, [...(byReference.get(reference) ?? []), one]);
  }
  for (const [path, tests] of byReference) found.push(...(await aheadOf(work, path, tests)));
  return found;
}

async function aheadOf(
  work: HistoryWork,
  path: string,
  tests: readonly { readonly entry: EntryState; readonly test: TestOfBuild }[],
): Promise<readonly ReferenceAhead[]> {
  const versions = await work.past.versionsOf(path);
  const found = new Map<string, ReferenceAhead>();
  for (let i = 0; i + 1 < versions.length; i++) {
    const [move, older] = [versions[i]!, versions[i + 1]!];
    const earlier = tests.filter(({ test }) => !found.has(test.file) && isBefore(test.date, move.time, i));
    if (earlier.length === 0) break;
    const bytes = await bytesOf(work, older);
    if (bytes === undefined) break;
    work.states.showHeadWith(new Map([[path, bytes]]));
    const judged = await work.session.run(
      (run) =>
        verdictsOf(
          run,
          earlier.map(({ entry }) => entry.text),
        ),
      work.options,
    );
    for (const { entry, test } of earlier) {
      const without = judged.get(entry.text)?.verdict;
      if (without === undefined || without === 'pass') continue;
      found.set(test.file, { test, commit: move.commit, day: dayOf(move.time), referenceFile: path, without });
    }
  }
  return [...found.values()];
}

/** A test without a date is held against the latest move alone. */
function isBefore(date: string, time: number, index: number): boolean {
  const tested = Date.parse(date);
  return Number.isNaN(tested) ? index === 0 : tested / 1000 < time;
}

/** References that this branch moves by less than their tolerance, as moves before it did, and that went beyond it by all of them. */
export async function crept(work: HistoryWork, moves: RepositoryMoves): Promise<readonly ReferenceInSteps[]> {
  const found: ReferenceInSteps[] = [];
  for (const { id, before, after, reference } of moves.specs) {
    if (reference === undefined || before?.reference === undefined || after?.reference === undefined) continue;
    if (beyond(reference.moved)) continue;
    const { tolerance } = before.spec;
    const versions = await work.past.versionsOf(before.reference.file);
    let later = before.reference;
    let steps = 1;
    for (const [i, version] of versions.entries()) {
      if (i === 0) continue;
      const table = await tableOf(work, after.spec.file, after.reference.file, version);
      if (table === undefined) break;
      const step = movedBetween(table, later, tolerance).moved;
      if (step.length > 0) steps += 1;
      if (beyond(step)) break;
      const [worst] = movedBetween(table, after.reference, tolerance).moved;
      if (worst !== undefined && beyond([worst])) {
        const { file } = after.reference;
        found.push({ spec: id, file, moves: steps, since: version.commit, day: dayOf(version.time), worst });
        break;
      }
      later = table;
    }
  }
  return found;
}

function beyond(moved: readonly { readonly share?: number }[]): boolean {
  return moved.some(({ share }) => share !== undefined && share > 1);
}

async function tableOf(
  work: HistoryWork,
  specPath: string,
  path: string,
  version: FileVersion,
): Promise<ForceTable | undefined> {
  const bytes = await bytesOf(work, version);
  if (bytes === undefined) return undefined;
  work.states.showHeadWith(new Map([[path, bytes]]));
  return work.session.run(async (run) => (await referencesOf(run, [specPath])).get(specPath), work.options);
}

async function bytesOf({ revisions, note }: HistoryWork, version: FileVersion): Promise<Uint8Array | undefined> {
  try {
    return await revisions.readBlob(version, MOST_BYTES);
  } catch (error) {
    if (!(error instanceof FilePortError)) throw error;
    note(`${version.path} as it was before ${version.commit.slice(0, 12)} is not in this clone and was not looked at.`);
    return undefined;
  }
}

function dayOf(time: number): string {
  return new Date(time * 1000).toISOString().slice(0, 10);
}

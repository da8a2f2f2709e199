import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { RevisionFiles, Revisions } from '../ports/revisions';
import type { FileKind } from '../files/recognise';
import { METHOD, sameTest, worstVerdict } from '../session/branchFindings';
import { readState, type RepositoryState } from '../session/repositoryState';
import { movesBetween } from '../session/repositoryMoves';
import { reviewEntries } from '../session/reviewPaths';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { BranchChanges, ChangedLog } from './branchChanges';
import type { HistoryWork } from './branchHistory';
import { tellBranch, testsOf, type Sides } from './branchTests';
import { changedKinds, kindsOfEither, refuseMissing } from './changedKinds';
import { connectedFiles } from './connectedFiles';
import { BranchStates } from './branchStates';
import { turnedResults } from './causes';
import { changedResults } from './changedResults';
import { joinRenamed } from './entryPairs';
import { JudgedSides } from './judgedSides';
import { PastOfBranch } from './pastOfBranch';
import { rewrittenResults } from './rewrittenResults';
import type { ShownFiles } from './shownFiles';

export interface BranchWork {
  /** Session that reads through `files`. */
  readonly session: ReviewSession;
  readonly files: ShownFiles;
  /** The work tree itself, as it is at any moment. */
  readonly work: RepositoryFiles;
  readonly revisions: Revisions;
}

/**
 * Holds the work tree against the commit that its branch left.
 *
 * @param revision what the branch left; absent for the default branch as far as the clone tells
 * @throws RevisionFault where the clone lacks what is needed; SessionFault, AbortedError as `ReviewSession.review`
 */
export async function reviewBranch(
  work: BranchWork,
  revision: string | undefined,
  options: RunOptions = {},
): Promise<BranchChanges> {
  const { session, files, revisions } = work;
  files.work.list('', options.signal).catch(() => undefined); // begun while git looks; its faults are met below
  const found = revision === undefined ? await revisions.defaultBase() : await revisions.leftFrom(revision);
  const base = await revisions.filesAt(found.commit);
  const fileKinds = await kindsOfEither(files.work, base);
  const kinds = await changedKinds(work, base, fileKinds, options.signal);
  const past = new PastOfBranch(revisions, base.commit);
  askForReplaced(past, kinds);
  const checked = refuseMissing(revisions, base, kinds);
  checked.catch(() => undefined); // git looks while the files are read; its answer is met before anything is made of them
  const connected = await connectedFiles({ session, files, base, changed: kinds, fileKinds, options });
  await checked;
  if (connected !== undefined) {
    files.narrow(connected);
    session.invalidate([]);
  }
  const states = await BranchStates.of({ session, files, base }, kinds);
  const changed: ReadonlySet<string> = new Set(kinds.keys());
  const sides = await bothStates(session, states, changed, options);
  askForReferences(past, sides, changed);
  const moves = movesBetween(sides.base, sides.head);
  const rewritten = rewrittenResults(sides.base, sides.head, moves, changed);
  states.attribute(new Map(rewritten.map(({ file, parts }) => [file, parts])));

  const both = new JudgedSides(session, states, options);
  const judged = await both.judge(sides, changed);
  const tests = testsOf(judged, changed);
  const pairs = joinRenamed(judged, (before, after) => sameTest(tests.before.get(before)!, tests.after.get(after)!));
  const turned = await turnedResults(states, session, pairs, options);
  const notes: string[] = [];
  const note = (sentence: string): void => {
    if (!notes.includes(sentence)) notes.push(sentence);
  };
  if (revisions.shallow)
    note('This clone is shallow: moves of a reference before its oldest commit were not looked at.');
  const leftOut = (await revisions.leftOut(base, files.work)).filter((path) => sides.base.kindOf(path) !== undefined);
  if (leftOut.length > 0)
    note(
      `This checkout is sparse: ${leftOut.length} ${leftOut.length === 1 ? 'file' : 'files'} of the base (such as ${leftOut[0]!}) not looked at.`,
    );
  const history: HistoryWork = { revisions, past, session, states, base, head: sides.head, options, note };
  const results = await changedResults(both, pairs, turned, changed);
  const told = await tellBranch({ history, sides, moves, tests, turned, rewritten, changed });
  states.showAll('head');
  const outcome = await session.run((run) => {
    const texts = pairs.flatMap(({ head }) =>
      head && results.some(({ file, after }) => file === head.file || after?.file === head.file) ? [head.text] : [],
    );
    return reviewEntries({ ...run, explain: false }, texts, changed, ({ file }) => changed.has(file));
  }, options);
  return {
    method: METHOD,
    base: found,
    head: await headOf(work, kinds, options),
    moves,
    results,
    logs: changedLogs(kinds, base, sides.head, await presentOf(files, kinds)),
    turned: [...turned].sort((a, b) => (a.file < b.file ? -1 : 1)),
    findings: [...told, ...outcome.findings],
    notes,
    verdict: told.some(({ level, waived }) => level === 'error' && waived === undefined)
      ? 'fail'
      : worstVerdict(outcome.results),
    unreadable: outcome.unreadable,
  };
}

/** What commits of the branch replaced is needed wherever it adds tests. */
function askForReplaced(past: PastOfBranch, kinds: ReadonlyMap<string, FileKind>): void {
  if ([...kinds.values()].some((kind) => kind === 'result' || kind === 'testLog')) void past.replaced();
}

/** How references moved before the branch: those that it moves, and those that its results are judged by. */
function askForReferences(past: PastOfBranch, { base, head }: Sides, changed: ReadonlySet<string>): void {
  const asked = [...base.specs.values()].flatMap(({ spec }) =>
    spec.reference !== undefined && changed.has(spec.reference) ? [spec.reference] : [],
  );
  for (const {
    file,
    head: { logs, specPath },
  } of head.entries.values()) {
    const reference = head.specs.get(specPath ?? '')?.spec.reference;
    if (reference !== undefined && [file, ...logs].some((path) => changed.has(path))) asked.push(reference);
  }
  if (asked.length > 0) past.askVersions(asked);
}

async function bothStates(
  session: ReviewSession,
  states: BranchStates,
  changed: ReadonlySet<string>,
  options: RunOptions,
): Promise<Sides> {
  const stateNow = () => session.run((run) => readState(run, changed), options);
  states.showAll('head');
  const head = await stateNow();
  states.showAll('base');
  return { head, base: await stateNow() };
}

async function presentOf(files: ShownFiles, kinds: ReadonlyMap<string, FileKind>): Promise<ReadonlySet<string>> {
  const present = new Set<string>();
  for (const path of kinds.keys()) if ((await files.stat(path)) !== undefined) present.add(path);
  return present;
}

function changedLogs(
  kinds: ReadonlyMap<string, FileKind>,
  base: RevisionFiles,
  head: RepositoryState,
  present: ReadonlySet<string>,
): readonly ChangedLog[] {
  return [...kinds].flatMap(([file, kind]): ChangedLog[] => {
    if (kind !== 'testLog' && head.kindOf(file) !== 'testLog') return [];
    const change = !base.blobs.has(file) ? 'added' : present.has(file) ? 'changed' : 'removed';
    return [{ file, change }];
  });
}

/** The work tree may hold more than its last commit, which is said. */
async function headOf(
  { revisions, files }: BranchWork,
  kinds: ReadonlyMap<string, FileKind>,
  options: RunOptions,
): Promise<BranchChanges['head']> {
  const commit = await revisions.head();
  if (commit === undefined) return { uncommitted: true };
  const last = await revisions.filesAt(commit);
  const among = onlyThese(files.work, (path) => kinds.has(path));
  const differing = await revisions.changedPaths(last, among, (path) => kinds.has(path), options.signal);
  return { commit, uncommitted: differing.length > 0 };
}

/** Files of which those of some paths are listed alone. @param files a plain object, so that its parts can be taken over */
function onlyThese(files: ShownFiles['work'], isListed: (path: string) => boolean): RepositoryFiles {
  return {
    ...files,
    list: async (under, signal) => {
      const listed = await files.list(under, signal);
      return { ...listed, files: listed.files.filter(({ path }) => isListed(path)) };
    },
  };
}

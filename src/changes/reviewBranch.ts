import type { RepositoryFiles } from '../ports/repositoryFiles';
import type { RevisionFiles, Revisions } from '../ports/revisions';
import type { FileKind } from '../files/recognise';
import { METHOD, sameTest, worstVerdict } from '../session/branchFindings';
import { isConcerned, judgeEntries, readState, type RepositoryState } from '../session/repositoryState';
import { movesBetween } from '../session/repositoryMoves';
import { reviewEntries } from '../session/reviewPaths';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { BranchChanges, ChangedLog, ChangedResult } from './branchChanges';
import type { HistoryWork } from './branchHistory';
import { tellBranch, testsOf, type Sides } from './branchTests';
import { changedKinds, kindsOfEither, refuseMissing } from './changedKinds';
import { connectedFiles } from './connectedFiles';
import { BranchStates } from './branchStates';
import { turnedResults, type TurnedResult } from './causes';
import { fileOf, joinRenamed, pairEntries, type JudgedPair } from './entryPairs';
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
  const kindOf = await kindsOfEither(files.work, base);
  const kinds = await changedKinds(work, base, kindOf, options.signal);
  const past = new PastOfBranch(revisions, base.commit);
  askForReplaced(past, kinds);
  const checked = refuseMissing(revisions, base, kinds);
  checked.catch(() => undefined); // git looks while the files are read; its answer is met before anything is made of them
  const connected = await connectedFiles({ session, files, base, changed: kinds, kindOf, options });
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

  const judged = await judgeBoth(session, states, sides, changed, options);
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
  const results = changedResults(pairs, turned, changed);
  const told = await tellBranch({ history, sides, moves, tests, turned, rewritten, changed });
  states.showAll('head');
  const outcome = await session.run((run) => {
    const texts = pairs.flatMap(({ head }) =>
      head && results.some(({ file, after }) => file === head.file || after?.file === head.file) ? [head.text] : [],
    );
    return reviewEntries(run, texts, changed, ({ file }) => changed.has(file));
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

/** Pairs of all entries; judged are those that the branch may have turned, and others of the same builds. */
async function judgeBoth(
  session: ReviewSession,
  states: BranchStates,
  { base, head }: Sides,
  changed: ReadonlySet<string>,
  options: RunOptions,
): Promise<readonly JudgedPair[]> {
  const pairs = pairEntries(base, head);
  const concerned = new Set(pairs.filter((pair) => isConcerned(pair.base, pair.head, changed)));
  const builds = new Set(
    [...concerned].flatMap((pair) => [pair.base, pair.head].map((entry) => entry && buildKey(entry.head))),
  );
  const wanted = pairs.filter(
    (pair) => concerned.has(pair) || [pair.base, pair.head].some((entry) => entry && builds.has(buildKey(entry.head))),
  );
  const textsOf = (side: 'base' | 'head') => wanted.flatMap((pair) => (pair[side] ? [pair[side].text] : []));
  states.showAll('base');
  const before = await session.run((run) => judgeEntries(run, textsOf('base')), options);
  states.showAll('head');
  const after = await session.run((run) => judgeEntries(run, textsOf('head')), options);
  return wanted.map((pair) => {
    const [a, b] = [pair.base && before.get(pair.base.text), pair.head && after.get(pair.head.text)];
    return { ...pair, ...(a && { before: a }), ...(b && { after: b }) };
  });
}

function buildKey({
  spec,
  serial,
  build,
}: {
  readonly spec: string;
  readonly serial: string;
  readonly build: string;
}): string {
  return serial === '' ? '' : JSON.stringify([spec, serial, build]);
}

/** Results with a file of their own that differs, and those that turned. */
function changedResults(
  pairs: readonly JudgedPair[],
  turned: readonly TurnedResult[],
  changed: ReadonlySet<string>,
): readonly ChangedResult[] {
  const results = pairs.flatMap((pair): ChangedResult[] => {
    const { base, head, before, after } = pair;
    const file = fileOf(pair);
    const own = [base, head].some(
      (entry) => entry && [entry.file, ...entry.head.logs].some((path) => changed.has(path)),
    );
    if ((!own && !turned.some((one) => one.file === file)) || (before === undefined && after === undefined)) return [];
    const [was, is] = [base?.isResult === true && base.file, head?.isResult === true && head.file];
    const from = typeof was === 'string' && typeof is === 'string' && was !== is ? was : undefined;
    const change = from !== undefined ? 'renamed' : changeOf(pair, own);
    return [{ file, change, ...(from !== undefined && { from }), ...(before && { before }), ...(after && { after }) }];
  });
  return results.sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** A result that is written for logs which were judged before is added, and one that is taken away is removed, though its logs stay. */
function changeOf({ base, head }: JudgedPair, own: boolean | undefined): ChangedResult['change'] {
  if (base === undefined || (!base.isResult && head?.isResult === true)) return 'added';
  if (head === undefined || (base.isResult && !head.isResult)) return 'removed';
  return own === true ? 'changed' : 'unchanged';
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
  const differing = await revisions.changedPaths(last, files.work, (path) => kinds.has(path), options.signal);
  return { commit, uncommitted: differing.length > 0 };
}

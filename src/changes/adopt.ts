import type { RepositoryFiles, RepositoryWriter } from '../ports/repositoryFiles';
import type { Revisions } from '../ports/revisions';
import { adoptResults, bytesNow, type Adoption } from '../session/adoption';
import { judgeEntries, kindsOf } from '../session/repositoryState';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import { SessionFault } from '../session/sessionFault';
import type { JudgedResult, Verdict } from '../review/judgedResult';

export interface AdoptWork {
  readonly session: ReviewSession;
  readonly work: RepositoryFiles;
  readonly revisions: Revisions;
}

/** A verdict before and after the reference moves. */
export interface PreviewedResult {
  readonly file: string;
  readonly before: Verdict;
  readonly after: Verdict;
  readonly result: JudgedResult;
}

/** What adopting would do; nothing is written yet. */
export interface AdoptionPlan extends Adoption {
  /** Every result and run that is held against the curves, as it would be judged. */
  readonly preview: readonly PreviewedResult[];
}

/**
 * Plans to make results the reference curves of their spec.
 * @throws SessionFault, RevisionFault where something is not committed, a result is not sound, or git cannot tell
 */
export async function planAdoption(
  work: AdoptWork,
  paths: readonly string[],
  reason: string,
  options: RunOptions = {},
): Promise<AdoptionPlan> {
  await refuseUncommitted(work, options);
  const { session } = work;
  const adoption = await session.run((run) => adoptResults(run, paths, reason), options);
  const judge = () => session.run((run) => judgeEntries(run, adoption.entries), options);
  const before = await judge();
  session.overlay(adoption.path, new TextDecoder().decode(adoption.bytes));
  const after = await judge().finally(() => {
    session.overlay(adoption.path, undefined);
  });
  const preview = [...after].flatMap(([text, result]): PreviewedResult[] => {
    const was = before.get(text);
    return was === undefined ? [] : [{ file: result.file, before: was.verdict, after: result.verdict, result }];
  });
  return { ...adoption, preview: preview.sort((a, b) => (a.file < b.file ? -1 : 1)) };
}

/**
 * Writes what was planned, in one step, unless the curves changed since.
 * @throws SessionFault where they did, FilePortError where they cannot be written
 */
export async function carryOut(
  { session }: Pick<AdoptWork, 'session'>,
  plan: AdoptionPlan,
  writer: RepositoryWriter,
  options: RunOptions = {},
): Promise<void> {
  session.invalidate([plan.path]);
  const now = await session.run((run) => bytesNow(run, plan.path), options);
  if (!sameBytes(now, plan.before))
    throw new SessionFault(`${plan.path} was changed meanwhile; nothing was written.`, 'Look at it, then adopt again.');
  await writer.writeAtomic(plan.path, plan.bytes);
}

/** A reference whose results are not committed could not be traced; one that is not committed would be lost. */
async function refuseUncommitted({ session, work, revisions }: AdoptWork, options: RunOptions): Promise<void> {
  const commit = await revisions.head();
  if (commit === undefined) throw new SessionFault('Nothing is committed yet.', 'Commit specs and results first.');
  const kindOf = await session.run(kindsOf, options);
  const last = await revisions.filesAt(commit);
  const differing = await revisions.changedPaths(last, work, (path) => kindOf(path) !== undefined, options.signal);
  if (differing.length === 0) return;
  const more = differing.length > 6 ? ` and ${differing.length - 6} more` : '';
  throw new SessionFault(
    `Not committed: ${differing.slice(0, 6).join(', ')}${more}.`,
    'Commit or take back what you changed, so that the new reference can be told from it.',
  );
}

function sameBytes(a: Uint8Array | undefined, b: Uint8Array | undefined): boolean {
  if (a === undefined || b === undefined) return a === b;
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}

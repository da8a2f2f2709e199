import { RevisionFault, type RevisionFiles, type Revisions } from '../ports/revisions';
import { comparisonOf, type Target } from '../session/compareTargets';
import type { ReviewSession, RunOptions } from '../session/reviewSession';
import type { Comparison } from '../review/comparison';

/** What a side of a comparison names: something of the work tree, or of one commit. */
export interface ComparedName {
  /** As the user wrote it. */
  readonly label: string;
  readonly name: string;
  /** Commit that it is read at; absent for the work tree. */
  readonly commit?: string;
}

/** How sides are looked up. */
export interface ComparedWork {
  /** Session on the work tree. */
  readonly session: ReviewSession;
  /** Session on a commit. */
  openAt(files: RevisionFiles): ReviewSession;
  /** The history; asked for only where a side names a revision. @throws RevisionFault */
  readonly revisions: () => Promise<Revisions>;
}

/**
 * Splits `PATH@REVISION` at the first @ whose left part exists, here or else at that revision; `SERIAL/BUILD@REVISION` likewise. A name
 * that exists as it stands, with its @, is no such pair.
 *
 * @param exists whether a name is there in the work tree
 */
export async function splitRevision(
  text: string,
  exists: (name: string) => Promise<boolean>,
  revisions: () => Promise<Revisions>,
): Promise<ComparedName> {
  if (!text.includes('@') || (await exists(text))) return { label: text, name: text };
  const cuts = [...text.matchAll(/@/gu)].map(({ index }) => index).filter((at) => at > 0);
  for (const at of cuts) {
    if (!(await exists(text.slice(0, at)))) continue;
    return { label: text, name: text.slice(0, at), commit: await (await revisions()).resolve(text.slice(at + 1)) };
  }
  for (const at of cuts) {
    const commit = await commitOrNone(text.slice(at + 1), revisions);
    if (commit !== undefined) return { label: text, name: text.slice(0, at), commit };
  }
  return { label: text, name: text };
}

/** Holds b against a, each at its own state of the repository. @throws SessionFault, RevisionFault */
export async function compareAcross(
  work: ComparedWork,
  a: ComparedName,
  b: ComparedName,
  options: RunOptions = {},
): Promise<Comparison> {
  const sessions = new Map<string, ReviewSession>();
  const target = async ({ label, name, commit }: ComparedName): Promise<Target> => {
    if (commit === undefined) return work.session.target(name, options);
    const session = sessions.get(commit) ?? work.openAt(await (await work.revisions()).filesAt(commit));
    sessions.set(commit, session);
    const found = await session.target(name, options);
    return { ...found, run: { ...found.run, label } };
  };
  return comparisonOf(await target(a), await target(b));
}

async function commitOrNone(revision: string, revisions: () => Promise<Revisions>): Promise<string | undefined> {
  const known = await revisions();
  try {
    return await known.resolve(revision);
  } catch (error) {
    if (error instanceof RevisionFault) return undefined;
    throw error;
  }
}

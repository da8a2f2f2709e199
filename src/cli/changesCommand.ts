import { GitRevisions } from '../platform/node/gitRevisions';
import type { CheckOptions } from './program';
import { locateRepository } from './repositoryRoot';

export interface ChangesOptions extends CheckOptions {
  /** What the branch left. */
  readonly base?: string;
}

/**
 * `changes`: what the branch does to results and to what they are judged by; the exit status is that of the results it changes or turns.
 * git is started before the rest of the program is loaded, so that it looks up the branch meanwhile; a small process also starts others sooner.
 */
export async function runChanges(options: ChangesOptions): Promise<void> {
  const { root } = locateRepository(['.'], process.cwd());
  const opened = GitRevisions.open(root, undefined, ['HEAD', ...(options.base === undefined ? [] : [options.base])]);
  opened.catch(() => undefined); // met once the rest is there
  const { reportChanges } = await import('./changesReport');
  await reportChanges(root, opened, options);
}

import { RevisionFault } from '../../ports/revisions';
import type { GitAnswer } from './gitCommand';

/** Of what a partial or shallow clone may be without. */
export function lacking(what: string, { err }: GitAnswer): RevisionFault {
  return new RevisionFault(
    `git could not read ${what.slice(0, 80)} from this clone: ${shortened(err)}`,
    'A partial or shallow clone may lack it; nothing is fetched unasked: fetch it, then try again.',
  );
}

/** Of a folder that git does not take for a work tree, or does not trust. */
export function noWorkTree({ err }: GitAnswer): RevisionFault {
  if (err.includes('dubious ownership'))
    return new RevisionFault(
      'git does not trust this folder: it belongs to another user.',
      'If you trust it, name it under safe.directory in your own git configuration.',
    );
  return new RevisionFault(
    `This folder is no work tree of a git repository${err === '' ? '' : ` (${shortened(err)})`}.`,
    'Run it inside a clone: there is no history here to look at.',
  );
}

function shortened(text: string): string {
  const [first = ''] = text.split('\n');
  return first.replace(/^fatal: /u, '').slice(0, 200);
}

import type { FileProblem } from '../files/problem';
import { RULES } from '../review/rules/catalogue';
import { Pause, type Reading } from './query';
import { AbortedError } from '../ports/abort';
import { FilePortError } from '../ports/repositoryFiles';

const REMEDIES: Readonly<Record<FilePortError['code'], string>> = {
  'not-found': 'Restore the file, or correct what names it.',
  outside: 'Copy what it leads to into the repository, or remove the link.',
  'link-loop': 'Remove the link.',
  'not-a-file': 'Put a plain file in its place.',
  denied: 'Give yourself the right to read it.',
  'too-large': 'Split it, or name it as a test log if it is one.',
  io: 'Check the disk, then try again.',
};

/** What keeps a file from being reached, as a problem of that file. */
export function portProblem(error: FilePortError): FileProblem {
  return {
    rule: error.code === 'outside' ? 'path-outside' : 'unreadable',
    file: error.path,
    position: { line: 1, column: 1 },
    message: `The file ${error.message.replace(/\.$/u, '')}.`,
    remedy: REMEDIES[error.code],
  };
}

/** Whether another try may succeed: the disk failed, not the file. */
export function isPassing(error: FilePortError): boolean {
  return error.code === 'io' || error.code === 'denied' || error.code === 'not-found';
}

/** What kept a file from being read, as a problem; what may be over by the next run is asked again then. @throws as `ownFault` */
export function faultOfReading(path: string, error: unknown, read: Reading): FileProblem {
  if (!(error instanceof FilePortError) || isPassing(error)) read.notFinal();
  return error instanceof FilePortError
    ? portProblem(new FilePortError(error.code, path, error.message))
    : ownFault(path, error);
}

/**
 * A fault of this program met while working on a file. The others are still judged; the exit status says that this one was not.
 * @throws AbortedError and Pause, when that is what was thrown
 */
export function ownFault(file: string, error: unknown): FileProblem {
  if (error instanceof AbortedError || error instanceof Pause) throw error;
  return {
    rule: 'unreadable',
    file,
    position: { line: 1, column: 1 },
    message: `The program failed on this file: ${error instanceof Error ? error.message : String(error)}.`,
    remedy: 'Please report this, if you can with the file; it is no fault of yours.',
  };
}

/**
 * Whether a problem means that something could not be taken as it stands; the exit status says so, whatever else is fine. By the rule's own
 * level: a pointer of a large file or another name than the content suggests is no error.
 */
export function isNotUsable(problem: FileProblem): boolean {
  return (RULES.get(problem.rule)?.level ?? 'error') === 'error';
}

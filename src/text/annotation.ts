import { spellHidden } from './visible';

/** For the message of a workflow command (`::error file=...::MESSAGE`): it ends with its line, and `%` starts a code. */
export function escapeAnnotation(text: string): string {
  return spellHidden(text).replaceAll('%', '%25');
}

/** For a property of a workflow command, where colon and comma would end it too. */
export function escapeAnnotationProperty(text: string): string {
  return escapeAnnotation(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}

import { spellHidden } from './visible';

/** For a terminal: no escape sequence, control, line break or reordering gets through; the text stays on one line. */
export function escapeTerminal(text: string): string {
  return spellHidden(text);
}

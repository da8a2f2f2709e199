import { spellHidden } from './visible';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;' };

/**
 * For the markdown of an editor's hover, which shows no HTML and links what looks like an address: every mark of punctuation is
 * escaped (CommonMark 0.31, section 2.4), so that nothing is left to read as markup or as a link.
 */
export function escapeEditorMarkdown(text: string): string {
  return spellHidden(text)
    .replace(/[!-/:-@[-`{-~]/g, (mark) => ENTITIES[mark] ?? `\\${mark}`)
    .replace(/^(\s+)/, (space) => space.replaceAll(' ', '&nbsp;'));
}

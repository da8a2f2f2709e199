import { spellHidden } from './visible';

/** An empty comment: shows as nothing, and parts the text so that a host's own filters find nothing to link. */
const BREAK = '<!-- -->';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '|': '&#124;' };
/** Marks of the language, wherever they stand. */
const MARKS = /[\\`*_{}[\]<>|~^$&@#!:%]/g;
/** Marks that a host looks for in the finished text: mentions, references, labels, links, emoji names. */
const HOST_MARKS = '@#!~%$&:^';

/**
 * For prose and table cells in CommonMark and GitHub's or GitLab's flavour, on a line of its own too. A backslash takes the
 * meaning from a mark. Hosts search the finished text again, where the backslash is gone: an empty comment after the mark
 * keeps mentions, references and links from forming.
 */
export function escapeMarkdown(text: string): string {
  return spellHidden(text)
    .replace(MARKS, (mark, at: number, whole: string) => {
      const shown = ENTITIES[mark] ?? (mark === ':' || mark === '%' ? mark : `\\${mark}`);
      const next = whole.charAt(at + 1);
      return HOST_MARKS.includes(mark) && next.trim() !== '' ? shown + BREAK : shown;
    })
    .replace(/\/(?=\/)/g, (slash) => slash + BREAK)
    .replace(/\bwww(?=\.)/gi, (start) => start + BREAK)
    .replace(/\bGH(?=-\d)/g, (start) => start + BREAK)
    .replace(/^(\s*)([-+=/])/, (_, space: string, mark: string) => `${space}\\${mark}`)
    .replace(/^(\s*\d+)([.)])/, (_, number: string, mark: string) => `${number}\\${mark}`);
}

/**
 * For ids, paths and serials: a code span, in which hosts link nothing. Its fence is longer than any run of backticks inside.
 * A bar in a code span can end a table's cell and hosts disagree on its escape, so text with one is escaped inside an element.
 */
export function markdownCode(text: string): string {
  const shown = spellHidden(text);
  if (shown.trim() === '') return '` `';
  if (shown.includes('|')) return `<code>${escapeMarkdown(shown)}</code>`;
  const longest = Math.max(0, ...[...shown.matchAll(/`+/g)].map((run) => run[0].length));
  const fence = '`'.repeat(longest + 1);
  const pad = /^[` ]|[` ]$/.test(shown) ? ' ' : '';
  return `${fence}${pad}${shown}${pad}${fence}`;
}

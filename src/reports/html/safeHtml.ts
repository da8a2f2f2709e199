import { escapeHtml } from '../../text/html';

/** Markup that may go into a page as it is. Made by `markup` only, so that a string from a file can never be taken for it. */
export class SafeHtml {
  private constructor(readonly source: string) {}

  /** For what this program wrote itself and that is already escaped inside: drawings and the style sheet. */
  static ofOwnMarkup(markup: string): SafeHtml {
    return new SafeHtml(markup);
  }
}

type Insert = SafeHtml | string | number | false | undefined | readonly (SafeHtml | string)[];

/** A piece of HTML: whatever is inserted is escaped unless it is SafeHtml; arrays are joined, undefined and false are nothing. Indentation is dropped. */
export function markup(pieces: TemplateStringsArray, ...inserts: readonly Insert[]): SafeHtml {
  const own = pieces.map((piece) => piece.replace(/\n\s+/g, '\n'));
  return SafeHtml.ofOwnMarkup(own.reduce((text, piece, i) => text + markupOf(inserts[i - 1]) + piece));
}

function markupOf(insert: Insert): string {
  if (insert === undefined || insert === false) return '';
  if (insert instanceof SafeHtml) return insert.source;
  if (typeof insert === 'string') return escapeHtml(insert);
  if (typeof insert === 'number') return String(insert);
  return insert.map(markupOf).join('');
}

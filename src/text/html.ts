import { spellHidden } from './visible';

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/** For HTML text and for attribute values in either quotes. Never for URLs, scripts or styles: no file text goes there. */
export function escapeHtml(text: string): string {
  return spellHidden(text).replace(/[&<>"'`]/g, (character) => ENTITIES[character]!);
}

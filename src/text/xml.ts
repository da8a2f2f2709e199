import { spellHidden } from './visible';

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&apos;',
};

/** For XML 1.0 text and attribute values: characters that XML forbids are spelled out, so the document stays well-formed. */
export function escapeXml(text: string): string {
  return spellHidden(text).replace(/[&<>"']/g, (character) => ENTITIES[character]!);
}

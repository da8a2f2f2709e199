/** A piece of a path pattern: fixed text, or the name of a preamble key. */
type Piece = { readonly text: string } | { readonly key: string };

/**
 * Takes preamble values out of a log's path by a pattern such as `incoming/{serial}/{build}/{setting.R}.csv`. A key
 * stands for at least one character and for no slash. Where fixed text could be found twice, its last place counts,
 * so that in `{serial}-{build}.csv` the serial may hold a hyphen.
 *
 * @returns the texts by key, or undefined where the path does not fit
 */
export function readPathPattern(pattern: string, path: string): ReadonlyMap<string, string> | undefined {
  const patternParts = pattern.split('/');
  const pathParts = path.split('/');
  if (patternParts.length !== pathParts.length) return undefined;
  const values = new Map<string, string>();
  for (const [index, part] of patternParts.entries()) {
    if (!readPart(piecesOf(part), pathParts[index]!, values)) return undefined;
  }
  return values;
}

function piecesOf(part: string): Piece[] {
  return part
    .split(/(\{[^{}]*\})/)
    .filter((text) => text !== '')
    .map((text) => (text.startsWith('{') && text.endsWith('}') ? { key: text.slice(1, -1).trim() } : { text }));
}

/** Fits one folder or file name from its end to its start. */
function readPart(pieces: readonly Piece[], name: string, values: Map<string, string>): boolean {
  let end = name.length;
  for (let at = pieces.length - 1; at >= 0; at--) {
    const piece = pieces[at]!;
    if ('text' in piece) {
      if (!name.startsWith(piece.text, end - piece.text.length) || end < piece.text.length) return false;
      end -= piece.text.length;
      continue;
    }
    const before = pieces[at - 1];
    const start = startOfKey(before, at - 1, name, end);
    if (start === undefined || start >= end) return false;
    values.set(piece.key, name.slice(start, end));
    end = start;
  }
  return end === 0;
}

function startOfKey(before: Piece | undefined, index: number, name: string, end: number): number | undefined {
  if (before === undefined) return 0;
  if ('key' in before) return end - 1; // two keys without text between them: one character for the second
  const found =
    index === 0 ? (name.startsWith(before.text) ? 0 : -1) : name.lastIndexOf(before.text, end - 1 - before.text.length);
  return found < 0 ? undefined : found + before.text.length;
}

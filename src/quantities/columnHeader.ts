/** A column header taken apart: `displacement [[in_i]]` is the name `displacement` and the unit `[in_i]`. */
export interface ColumnHeader {
  readonly name: string;
  /** Text between the outer brackets; absent where the header has none. */
  readonly unit?: string;
}

/**
 * Splits a header at the bracket that matches its last character, since UCUM codes hold brackets of their own
 * (`[in_i]/s`, `k[lbf_av]`). Text without a closing bracket at its end, or without the matching one, is all name.
 */
export function parseColumnHeader(text: string): ColumnHeader {
  const trimmed = text.trim();
  const open = matchingBracket(trimmed);
  if (open === undefined) return { name: trimmed };
  return { name: trimmed.slice(0, open).trim(), unit: trimmed.slice(open + 1, -1).trim() };
}

/** Writes a header as {@link parseColumnHeader} reads it. */
export function columnHeaderText(name: string, unit: string | undefined): string {
  return unit === undefined ? name : `${name} [${unit}]`;
}

function matchingBracket(text: string): number | undefined {
  if (!text.endsWith(']')) return undefined;
  let depth = 0;
  for (let at = text.length - 1; at >= 0; at--) {
    if (text[at] === ']') depth++;
    else if (text[at] === '[' && --depth === 0) return at;
  }
  return undefined;
}

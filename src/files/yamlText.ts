/**
 * Writes plain data in YAML's flow style on one line. Every scalar is text; what our own reader would take for the same text
 * without quotation marks is written bare, as a person would.
 */
export function yamlFlow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(yamlFlow).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const entries = Object.entries(value).filter(([, part]) => part !== undefined);
    return `{${entries.map(([key, part]) => `${yamlScalar(key)}: ${yamlFlow(part)}`).join(', ')}}`;
  }
  return yamlScalar(String(value));
}

/** Words of letters, digits and harmless signs; a colon only inside a word, as in a time of day. Most runs write nothing, and need none of it. */
function isBare(text: string): boolean {
  return /^-?[\p{L}\p{N}_](?:[\p{L}\p{N}_./+@%()=~°²³·-]|:(?=[\p{L}\p{N}]))*(?: [\p{L}\p{N}_(](?:[\p{L}\p{N}_./+@%()=~°²³·-]|:(?=[\p{L}\p{N}]))*)*$/u.test(
    text,
  );
}

function yamlScalar(text: string): string {
  if (isBare(text) && text.length <= 200) return text;
  // A YAML double-quoted text knows JSON's escapes; invisible characters are spelled out as well.
  return JSON.stringify(text).replace(/[\p{C}\p{Zl}\p{Zp}]/gu, (character) => {
    const code = character.codePointAt(0)!.toString(16);
    return code.length > 4 ? `\\U${code.padStart(8, '0')}` : `\\u${code.padStart(4, '0')}`;
  });
}

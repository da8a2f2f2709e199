import { foreignContentProblem } from './contentLook';
import type { FileProblem } from './problem';

/** A small file's text without byte order mark, or why it has none. */
export type DecodedText = { readonly text: string } | { readonly problem: FileProblem };

/** Largest file that is read whole: specs, tables, mappings. Logs are streamed. */
export const MOST_TEXT_BYTES = 16 * 1024 * 1024;

/** Decodes UTF-8, and says where the first byte stands that is none. */
export function decodeText(file: string, bytes: Uint8Array): DecodedText {
  const foreign = foreignContentProblem(file, bytes);
  if (foreign !== undefined) return { problem: foreign };
  if (bytes.length > MOST_TEXT_BYTES) {
    const message = `The file has ${bytes.length} bytes; at most ${MOST_TEXT_BYTES} are read of a file of this kind.`;
    return {
      problem: {
        rule: 'unreadable',
        file,
        position: { line: 1, column: 1 },
        message,
        remedy: 'Split it, or name it as a test log if it is one.',
      },
    };
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    return { problem: invalidByte(file, bytes) };
  }
}

function invalidByte(file: string, bytes: Uint8Array): FileProblem {
  const offset = firstInvalidByte(bytes);
  const before = bytes.subarray(0, offset);
  const lineStart = before.lastIndexOf(10) + 1;
  const line = 1 + before.reduce((count, byte) => count + (byte === 10 ? 1 : 0), 0);
  const column = 1 + new TextDecoder().decode(before.subarray(lineStart)).length;
  const hex = (bytes[offset] ?? 0).toString(16).toUpperCase().padStart(2, '0');
  return {
    rule: 'unreadable',
    file,
    position: { line, column },
    value: `byte 0x${hex}`,
    message: `The byte 0x${hex} is not UTF-8${DEGREE_SIGNS.has(hex) ? '; it may be a degree sign of another encoding' : ''}.`,
    remedy: 'Save the file as UTF-8.',
  };
}

/** The degree sign in Latin-1 and its kin, and in an old desktop encoding. */
const DEGREE_SIGNS: ReadonlySet<string> = new Set(['B0', 'F8', 'A1']);

/** Offset of the first byte at which a strict decoder stops, found by halving: a prefix is good when it decodes as a stream. */
function firstInvalidByte(bytes: Uint8Array): number {
  let good = 0;
  let bad = bytes.length;
  while (good < bad) {
    const middle = (good + bad + 1) >> 1;
    if (decodesAsStream(bytes.subarray(0, middle))) good = middle;
    else bad = middle - 1;
  }
  return good === bytes.length ? startOfLastSequence(bytes) : good;
}

function decodesAsStream(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: true });
    return true;
  } catch {
    return false;
  }
}

/** A file that ends inside a character decodes as a stream to its end; the character's first byte is the fault. */
function startOfLastSequence(bytes: Uint8Array): number {
  let at = bytes.length - 1;
  while (at > 0 && (bytes[at]! & 0xc0) === 0x80) at--;
  return at;
}

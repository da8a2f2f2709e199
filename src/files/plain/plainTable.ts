import type { ForceTable } from '../forceTable';
import { MOST_TEXT_BYTES } from '../decodeText';
import { namedKind } from '../tableKind';
import { readPlainHead } from './plainHead';
import { planOfHeader } from './plainHeader';
import { readPlainRows } from './plainRows';

/*
 * The short way through a table that this program wrote, or a person just like it: a preamble of plain words, a header row
 * known from the file before, rows of plain numbers. It makes a table of 24 rows by 15 columns in a fifteenth of the time of
 * the libraries for YAML, CSV and schemas, and a check reads thousands. It never reports anything: where a byte is not plain
 * or a value not in order it gives up, and the way for every file (readForceTable.ts) reads the file from the start.
 * tests/files/plain holds the two against each other. What makes a file foreign (contentLook.ts) is behind a number sign only a control
 * character, which comments and the header are looked through for; nothing else that is plain holds any.
 */

const HASH = 35;
const LF = 10;
/** Preamble and header of a plain table end within so many bytes: a few times what this program writes. */
const MOST_START = 8192;
const STRICT = new TextDecoder('utf-8', { fatal: true });

/** A table whose preamble, header row and rows are all plain, rows that repeat others included; undefined for every other file. */
export function readPlainTable(file: string, bytes: Uint8Array): ForceTable | undefined {
  if (bytes[0] !== HASH || bytes.at(-1) !== LF || bytes.length > MOST_TEXT_BYTES) return undefined;
  const body = startOfBody(bytes);
  if (body === bytes.length || body > MOST_START) return undefined;
  const lines = linesOf(bytes, body);
  if (lines === undefined) return undefined;
  const plan = planOfHeader(lines.pop()!);
  const kind = namedKind(file);
  // A kind that content and name do not agree on is a finding.
  if (plan === undefined || (kind === 'reference' && plan.isMeasured)) return undefined;
  const head = readPlainHead(kind, lines);
  if (head === undefined) return undefined;
  const headerLine = lines.length + 1;
  const rows = readPlainRows(bytes, body, plan, headerLine + 1);
  return rows === undefined ? undefined : { ...head, file, kind, headerLine, adjusters: plan.adjusters, rows };
}

/** Offset behind the line that is the first without a `#`; the length where there is none. */
function startOfBody(bytes: Uint8Array): number {
  let start = 0;
  while (bytes[start] === HASH) start = bytes.indexOf(LF, start) + 1; // the last byte is one
  const end = bytes.indexOf(LF, start);
  return end < 0 ? bytes.length : end + 1;
}

/** The lines that end before an offset, without their ends; undefined where they are not UTF-8. */
function linesOf(bytes: Uint8Array, end: number): string[] | undefined {
  try {
    const text = STRICT.decode(bytes.subarray(0, end - 1));
    return (text.includes('\r') ? text.replace(/\r(?=\n|$)/g, '') : text).split('\n');
  } catch {
    return undefined;
  }
}

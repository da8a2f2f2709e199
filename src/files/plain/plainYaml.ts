import { plainFlow, REFUSED_KEYS } from './plainFlow';
import type { PlainValue } from './plainFlow';

type PlainMap = Record<string, PlainValue>;

interface OpenMap {
  readonly indent: number;
  readonly map: PlainMap;
}

const MOST_CHARACTERS = 20_000;
const DEEPEST = 8;
/** A key at its place, the value behind it or on the lines below. */
const KEY_LINE = /^( {0,40})([A-Za-z][\w-]*):(?:$| {1,8}(?=[^ ]))/;
/** A line of nothing but a comment, or of nothing. */
const SILENT_LINE = /^(?: {0,40}#.*)?$/;
const COMMENT_BEHIND = /^([^"'#]*[^"'# ]) {1,40}#.*$/;
/** Control characters, and the first of the surrogates and marks that a reader of YAML may treat by itself. */
// eslint-disable-next-line no-control-regex -- control characters are what it looks for
const ODD = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]/;

/**
 * Reads a YAML document of block maps and plain values (see plainFlow.ts), as specs are as a rule; undefined for every other.
 * The library takes 4 ms for a spec while its code is cold, and a check of a repository is over before it is warm.
 *
 * @returns the same as the library's reader (schema/yamlTree.ts): maps without a prototype, scalars as their text
 */
export function plainYaml(text: string): PlainMap | undefined {
  if (text.length > MOST_CHARACTERS) return undefined;
  const clean = text.includes('\r') ? text.replace(/\r\n/g, '\n') : text;
  if (ODD.test(clean)) return undefined;
  const root = emptyMap();
  const open: OpenMap[] = [{ indent: 0, map: root }];
  /** The map that the next line must open, as the key before it has no value of its own. */
  let awaited: PlainMap | undefined;
  for (const whole of clean.split('\n')) {
    if (SILENT_LINE.test(whole)) continue;
    const line = whole.includes('#') ? (COMMENT_BEHIND.exec(whole)?.[1] ?? whole) : whole;
    const match = KEY_LINE.exec(line);
    if (match === null) return undefined;
    const [before, blanks, key] = match as unknown as [string, string, string];
    const map = mapAt(open, blanks.length, awaited);
    if (map === undefined || key in map || REFUSED_KEYS.has(key)) return undefined;
    awaited = line.length === before.length ? emptyMap() : undefined;
    const value = awaited ?? plainFlow(line, before.length);
    if (value === undefined) return undefined;
    map[key] = value;
  }
  return awaited === undefined && Object.keys(root).length > 0 ? root : undefined;
}

/** The map that a key at an indentation belongs to; undefined where it belongs to none. */
function mapAt(open: OpenMap[], indent: number, awaited: PlainMap | undefined): PlainMap | undefined {
  if (awaited !== undefined) {
    if (indent <= open.at(-1)!.indent || open.length > DEEPEST) return undefined;
    open.push({ indent, map: awaited });
    return awaited;
  }
  while (open.at(-1)!.indent > indent) open.pop();
  const { indent: its, map } = open.at(-1)!;
  return its === indent ? map : undefined;
}

function emptyMap(): PlainMap {
  return Object.create(null) as PlainMap;
}

import { isLargeFilePointer } from '../files/contentLook';
import { folderOf, repositoryPath } from '../files/paths';
import { plainFlow, type PlainValue } from '../files/plain/plainFlow';
import { readForceTable } from '../files/readForceTable';
import { yamlParts } from '../files/yamlParts';
import { logOfMetadata, type FileKind } from '../files/recognise';
import type { SessionRun } from './reviewSession';

/** By what a file takes part in judging others. */
export type FileTies = SpecTies | TestTies | NamingTies;

export interface SpecTies {
  readonly kind: 'spec';
  /** Its id and its former ones. */
  readonly ids: readonly string[];
  /** Its reference. */
  readonly paths: readonly string[];
  /** Whether results of every spec may rest on its results: it is that of a check standard. */
  readonly isForAll: boolean;
}

/** A result or a log: the test that it is of, as it states it. */
export interface TestTies {
  readonly kind: 'result' | 'log';
  readonly spec: string;
  readonly serial: string;
  readonly build: string;
  readonly run: string;
  /** Logs of a result. */
  readonly paths: readonly string[];
  /** Whether any result of its spec may rest on it, of whatever damper: it is an endurance log. */
  readonly isForSpec: boolean;
}

/** What only names others: a reference the results that it was adopted from, metadata its log. */
export interface NamingTies {
  readonly kind: 'naming';
  readonly paths: readonly string[];
}

export const NO_TIES: FileTies = { kind: 'naming', paths: [] };

/**
 * Ties of a file by its bytes; undefined for a log, whose head tells (`tiesOfLog`). They may be those of a file that its own reader cannot
 * use; those of one that it can are what it takes from the file.
 */
export function tiesOfBytes(path: string, kind: FileKind, bytes: Uint8Array): FileTies | undefined {
  switch (kind) {
    case 'spec':
      return tiesOfSpec(path, bytes);
    case 'result':
      return plainTies(bytes) ?? tiesOfResult(path, bytes);
    case 'reference':
      return { kind: 'naming', paths: readForceTable(path, bytes).table?.adopted?.from ?? [] };
    case 'csvw':
      return { kind: 'naming', paths: [logOfMetadata(path)] };
    case 'testLog':
      return isLargeFilePointer(bytes) ? NO_TIES : undefined; // a pointer states nothing
    default:
      return NO_TIES;
  }
}

/** Ties of a log as its head has them, in the state that the run is of. */
export async function tiesOfLog({ queries, read }: SessionRun, path: string): Promise<FileTies> {
  const stated = await read.get(queries.identities.ofLog, path);
  if (stated === null) return NO_TIES;
  const { spec = '', serial = '', build = '', run = 1, kind } = stated;
  return { kind: 'log', spec, serial, build, run: String(run), paths: [], isForSpec: kind === 'endurance' };
}

function tiesOfSpec(path: string, bytes: Uint8Array): FileTies {
  const { id, formerly, reference, role } = yamlParts(path, bytes) ?? {};
  const named = typeof reference === 'string' ? repositoryPath(reference, folderOf(path)) : undefined;
  return {
    kind: 'spec',
    ids: [id, formerly].flat().filter((one): one is string => typeof one === 'string'),
    paths: named !== undefined && 'path' in named ? [named.path] : [],
    isForAll: role === 'checkStandard',
  };
}

function tiesOfResult(path: string, bytes: Uint8Array): FileTies {
  const { table } = readForceTable(path, bytes);
  if (table === undefined) return NO_TIES;
  const { serial = '', build = '', run = 1, source = [] } = table.result ?? {};
  return {
    ...{ kind: 'result', spec: table.spec, serial, build, run: String(run), isForSpec: false },
    paths: source.map((log) => log.path),
  };
}

const HASH = 35;
const LF = 10;
const LENIENT = new TextDecoder();
/** Lines of a preamble that tie, however their keys are written there. */
const TYING = /^#[^\S\n]*(?:spec|serial|build|run|source)[^\S\n]*:.*$/gmu;
/** The same for a log, which names no other. */
const TYING_OF_LOG = /^#[^\S\n]*(?:spec|serial|build|run|kind)[^\S\n]*:.*$/gmu;
/** What a pattern takes for the end of a line, and the reader of preambles does not. */
const OTHER_LINE_END = /\r(?!\n)|[\u2028\u2029]/u;
const PLAIN = /^# (spec|serial|build|run|source): (?=[^ ])/u;
/** The usual forms of these lines: a word, and one log. The values are as the reader of plain text has them (plainFlow.ts). */
const WORD = /^# (spec|serial|build|run|kind): ([A-Za-z0-9][\w./+%-]*)$/u;
const ONE_SOURCE = /^# source: \[\{path: ([A-Za-z0-9][\w./+%-]*), sha256: [0-9a-f]{64}\}\]$/u;

/**
 * The same for a result whose preamble has these keys as this program writes them, without its rows being read: of thousands of results most
 * are looked at for this alone, and reading them whole took half of a review of a branch. Undefined for every other.
 */
function plainTies(bytes: Uint8Array): FileTies | undefined {
  const found = new PlainTies();
  for (const line of linesOfPreamble(bytes, TYING) ?? []) if (!found.take(line)) return undefined;
  return found.ofResult();
}

/**
 * Ties of a log by its first bytes, expanded, where its preamble ends within them and states these things as this program writes it. No
 * mapping and no metadata may belong to it.
 */
export function tiesOfLogStart(bytes: Uint8Array): FileTies | undefined {
  const lines = linesOfPreamble(bytes, TYING_OF_LOG);
  if (lines === undefined) return undefined;
  const found = new PlainTies();
  for (const line of lines) if (!found.takeWord(line)) return undefined;
  return found.ofLog();
}

/** Lines that a pattern finds in the preamble that a file begins with; undefined where it is not plain where it ends, or does not end. */
function linesOfPreamble(bytes: Uint8Array, pattern: RegExp): readonly string[] | undefined {
  const body = startOfBody(bytes);
  const first = bytes[body] ?? 0;
  if (body === 0 || first <= 32 || first >= 128) return undefined; // behind a blank line, however blank, the preamble may go on
  const text = LENIENT.decode(bytes.subarray(0, body));
  return OTHER_LINE_END.test(text) ? undefined : (text.match(pattern) ?? []);
}

/** Offset behind the lines of `#` that a file begins with; its length where it ends in the middle of one. */
function startOfBody(bytes: Uint8Array): number {
  let at = 0;
  while (bytes[at] === HASH) {
    const end = bytes.indexOf(LF, at);
    if (end < 0) return bytes.length;
    at = end + 1;
  }
  return at;
}

/** What the tying lines of one preamble say. */
class PlainTies {
  readonly #words = new Map<string, string>();
  readonly #paths: string[] = [];

  /** @returns whether the line is as plain as that */
  take(line: string): boolean {
    if (this.takeWord(line)) return true;
    const path = ONE_SOURCE.exec(line)?.[1];
    if (path !== undefined) return this.#put('source', '') && takeSource({ path }, this.#paths);
    return this.#takeOther(line);
  }

  /** @returns whether the line states one word for the first time */
  takeWord(line: string): boolean {
    const [, key, word] = WORD.exec(line) ?? [];
    return key !== undefined && this.#put(key, word!);
  }

  #takeOther(line: string): boolean {
    const match = PLAIN.exec(line);
    const key = match?.[1];
    if (match === null || key === undefined) return false;
    const value = plainFlow(line, match[0].length);
    if (key !== 'source') return typeof value === 'string' && this.#put(key, value);
    if (!this.#put(key, '') || !Array.isArray(value)) return false;
    return (value as readonly PlainValue[]).every((source) => takeSource(source, this.#paths));
  }

  /** @returns whether the key stands there for the first time */
  #put(key: string, word: string): boolean {
    if (this.#words.has(key)) return false;
    this.#words.set(key, word);
    return true;
  }

  /** Undefined where a key lacks that every result has. */
  ofResult(): FileTies | undefined {
    const isWhole = ['spec', 'serial', 'build'].every((key) => this.#words.has(key));
    return isWhole ? this.#ties('result', false) : undefined;
  }

  /** A log need not state any of it. */
  ofLog(): FileTies {
    return this.#ties('log', this.#words.get('kind') === 'endurance');
  }

  #ties(kind: TestTies['kind'], isForSpec: boolean): FileTies {
    const [spec = '', serial = '', build = '', run = '1'] = KEYS.map((key) => this.#words.get(key));
    return { kind, spec, serial, build, run: String(Number(run)), paths: this.#paths, isForSpec };
  }
}

const KEYS = ['spec', 'serial', 'build', 'run'];

function takeSource(source: PlainValue, paths: string[]): boolean {
  const text = typeof source === 'object' && 'path' in source ? source.path : undefined;
  const named = typeof text === 'string' ? repositoryPath(text, '') : undefined;
  if (named === undefined || !('path' in named)) return false;
  paths.push(named.path);
  return true;
}

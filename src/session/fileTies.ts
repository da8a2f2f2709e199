import { isLargeFilePointer } from '../files/contentLook';
import { folderOf, repositoryPath } from '../files/paths';
import { plainFlow, type PlainValue } from '../files/plain/plainFlow';
import { readForceTable } from '../files/readForceTable';
import { yamlParts } from '../files/yamlParts';
import { logOfMetadata, type FileKind } from '../files/recognise';
import type { SessionRun } from './reviewSession';

/** By what a file takes part in judging others: ids of specs that it bears or states, and paths that it names. */
export interface FileTies {
  readonly ids: readonly string[];
  readonly paths: readonly string[];
  /** Whether results of every spec may rest on it: the spec of a check standard. */
  readonly isForAll?: boolean;
}

export const NO_TIES: FileTies = { ids: [], paths: [] };

/**
 * Ties of a file by its bytes; undefined for a log, whose head tells (`tiesOfLog`). They may name more than the file's own reader takes from
 * it, as in a file that cannot be used, and never less.
 */
export function tiesOfBytes(path: string, kind: FileKind, bytes: Uint8Array): FileTies | undefined {
  switch (kind) {
    case 'spec':
      return tiesOfSpec(path, bytes);
    case 'result':
    case 'reference':
      return plainTies(bytes) ?? tiesOfTable(path, bytes);
    case 'csvw':
      return { ids: [], paths: [logOfMetadata(path)] };
    case 'testLog':
      return isLargeFilePointer(bytes) ? NO_TIES : undefined; // a pointer states nothing
    default:
      return NO_TIES;
  }
}

/** Ties of a log as its head has them, in the state that the run is of. */
export async function tiesOfLog({ queries, read }: SessionRun, path: string): Promise<FileTies> {
  const stated = await read.get(queries.identities.ofLog, path);
  return stated === null ? NO_TIES : { ids: [stated.spec ?? ''], paths: [] };
}

function tiesOfSpec(path: string, bytes: Uint8Array): FileTies {
  const { id, formerly, reference, role } = yamlParts(path, bytes) ?? {};
  const named = typeof reference === 'string' ? repositoryPath(reference, folderOf(path)) : undefined;
  return {
    ids: [id, formerly].flat().filter((one): one is string => typeof one === 'string'),
    paths: named !== undefined && 'path' in named ? [named.path] : [],
    isForAll: role === 'checkStandard',
  };
}

function tiesOfTable(path: string, bytes: Uint8Array): FileTies {
  const { table } = readForceTable(path, bytes);
  if (table === undefined) return NO_TIES;
  const { spec, result, adopted } = table;
  return { ids: [spec], paths: [...(result?.source ?? []).map((source) => source.path), ...(adopted?.from ?? [])] };
}

const HASH = 35;
/** Longer preambles are read whole. */
const PREAMBLE_BYTES = 4096;
const LENIENT = new TextDecoder();
/** Keys of a preamble that tie. Each is looked for at the start of a line, however it is written there. */
const TYING = /^#\s*(?:spec|source|adopted)\s*:/u;
const PLAIN = /^# (spec|source): (?=[^ ])/u;

/**
 * The same for a table whose preamble has these keys as this program writes them, without its rows being read: of thousands of results all
 * but those of a few specs are looked at for this alone, and reading them whole took half of a review of a branch. Undefined for every other.
 */
function plainTies(bytes: Uint8Array): FileTies | undefined {
  if (bytes[0] !== HASH) return undefined;
  const text = LENIENT.decode(bytes.subarray(0, PREAMBLE_BYTES));
  const ids: string[] = [];
  const paths: string[] = [];
  let start = 0;
  while (text[start] === '#') {
    const end = text.indexOf('\n', start);
    if (end < 0) return undefined;
    if (mayTie(text, start)) {
      const line = text.slice(start, text[end - 1] === '\r' ? end - 1 : end);
      if (TYING.test(line) && !takePlain(line, ids, paths)) return undefined;
    }
    start = end + 1;
  }
  const isOver = (text[start] ?? '').trim() !== ''; // behind a blank line the preamble may go on
  return isOver && ids.length === 1 ? { ids, paths } : undefined;
}

/** Whether one of the keys may stand in a line: spares cutting out most lines. */
function mayTie(text: string, start: number): boolean {
  const letter = text[start + 2];
  return letter === 's' || letter === 'a' || text[start + 1] !== ' ' || letter === undefined || letter.trim() === '';
}

function takePlain(line: string, ids: string[], paths: string[]): boolean {
  const match = PLAIN.exec(line);
  if (match === null) return false;
  const value = plainFlow(line, match[0].length);
  if (match[1] === 'spec') return typeof value === 'string' && ids.push(value) > 0;
  return Array.isArray(value) && (value as readonly PlainValue[]).every((source) => takeSource(source, paths));
}

function takeSource(source: PlainValue, paths: string[]): boolean {
  const text = typeof source === 'object' && 'path' in source ? source.path : undefined;
  const named = typeof text === 'string' ? repositoryPath(text, '') : undefined;
  if (named === undefined || !('path' in named)) return false;
  paths.push(named.path);
  return true;
}
